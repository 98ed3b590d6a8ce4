"""What leaves the plot, in forms that people, other programs and archives read."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import ExitStack
from typing import IO, Final

from flask import Response

from underboard.core.errors import InputFault
from underboard.exchange.out.forms import FORMS
from underboard.store import summaries
from underboard.web.api import Subject
from underboard.web.auth import require
from underboard.web.leaving import file_name, write_form
from underboard.web.limits import EXPORTS
from underboard.web.problems import Problem
from underboard.web.roles import Act
from underboard.web.services import services

subject = Subject("export", __name__, "What leaves the plot.")
_IN_MEMORY: Final = 8 * 1024 * 1024
_PIECE: Final = 256 * 1024


@subject.route("/plots/<plot_id>/export/<form>")
@subject.response(200, {"type": "string", "format": "binary"}, content_type="*/*")
@subject.alt_response(404, description="No such form; there are: " + ", ".join(FORMS) + ".")
@subject.alt_response(422, description="The plot lacks what the form needs, such as its position.")
def export(plot_id: str, form: str) -> Response:
    """Give the plot in one form. Its place is rounded to 0.01° unless the owner chose otherwise; a bundle holds all."""
    device = require(Act.READ, plot_id)
    found = FORMS.get(form)
    if found is None:
        raise Problem("not-found", f"There is no such form; there are: {', '.join(FORMS)}.")
    wait = services().limits.take(EXPORTS, device.id)
    if wait:
        raise Problem("too-many", "Too many exports at once: wait a little.", retry_after=wait)
    now = services().now()
    plot = summaries.record(device.plot_id, device.plot_id)
    name = file_name(str(plot["body"].get("name")) if plot else "plot", found, now)
    with ExitStack() as kept:
        out = kept.enter_context(tempfile.SpooledTemporaryFile(max_size=_IN_MEMORY))
        try:
            write_form(out, found, device.plot_id, services().blobs, now)
        except InputFault as fault:
            errors = [{"pointer": fault.pointer, "detail": fault.detail}]
            raise Problem("validation", fault.detail, errors=errors) from fault
        size = out.tell()
        out.seek(0)
        if size <= _IN_MEMORY:
            answer = Response(out.read())
        else:
            kept.pop_all()  # closed when the last piece has gone out
            answer = Response(_pieces(out))
    answer.mimetype = found.media_type
    answer.content_length = size
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    # A file to keep, never a page of ours: OWASP ASVS 5.0, 3.2.1.
    answer.headers["Content-Security-Policy"] = "default-src 'none'; sandbox"
    return answer


def _pieces(out: IO[bytes]) -> Iterator[bytes]:
    with out:
        while piece := out.read(_PIECE):
            yield piece
