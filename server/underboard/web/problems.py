"""Every error answer: a problem document (RFC 9457) with one plain sentence.

Views raise `Problem`; this module is the one place that turns errors into HTTP.
"""

from __future__ import annotations

import json
import math
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

import structlog
from flask import Flask, Response, g
from werkzeug.exceptions import HTTPException

from underboard.core.errors import PhotosAway
from underboard.store.troubles import note_damage, trouble_of
from underboard.web.services import services

MEDIA_TYPE: Final = "application/problem+json"

# kind → (status, title); the kind is the last part of the type address
KINDS: Final[Mapping[str, tuple[int, str]]] = {
    "malformed": (400, "The request can't be read"),
    "pair-again": (401, "This device isn't paired"),
    "not-allowed": (403, "Not allowed for this device"),
    "foreign-page": (403, "The request came from another page"),
    "not-secure": (403, "Only by https"),
    "not-found": (404, "Not found"),
    "method": (405, "That can't be done here"),
    "not-acceptable": (406, "Not available in that form"),
    "epoch": (409, "The server was restored from a backup"),
    "schema": (409, "The app on this device is too old"),
    "cursor-expired": (410, "Too long away: start again from the beginning"),
    "gone": (410, "No longer here"),
    "length": (411, "The length of the body is missing"),
    "too-large": (413, "Too large"),
    "media-type": (415, "Not a kind of data taken here"),
    "validation": (422, "Value not allowed"),
    "photo": (422, "The photo can't be taken in"),
    "photo-damaged": (422, "The photo arrived damaged"),
    "too-many": (429, "Too many requests"),
    "server-fault": (500, "The server made a mistake"),
    "busy": (503, "The server is busy"),
    "storage": (503, "The server's disk has trouble"),
    "photo-store": (503, "The photo storage does not answer"),
    "disk-full": (507, "The server's disk is full"),
}

_BY_STATUS: Final[Mapping[int, str]] = {
    400: "malformed", 401: "pair-again", 403: "not-allowed", 404: "not-found", 405: "method",
    406: "not-acceptable", 410: "gone", 411: "length", 413: "too-large", 415: "media-type",
    422: "validation", 429: "too-many", 500: "server-fault", 503: "busy", 507: "disk-full",
}  # fmt: skip

# what a person can do about errors that Flask itself raises
_SENTENCES: Final[Mapping[int, str]] = {
    400: "The request can't be read: check its form.",
    404: "There is nothing at this address.",
    405: "This address doesn't take that method.",
    413: "The body is too large: send less at once.",
    415: "Send JSON with Content-Type: application/json.",
    500: "Something went wrong inside the server. Nothing you entered is lost on your device; try again later.",
}


_DISK_FULL: Final = "The server's disk is full: nothing was stored, keep your records and free some space."
_PHOTOS_AWAY: Final = (
    "The storage that holds the photos can't be used now. Your device keeps its photos and sends them later; on the "
    "server, underboard doctor says what it is."
)
_STORAGE: Final[Mapping[str, str]] = {
    "damaged": "The server's database is damaged. Your device keeps its records; whoever looks after the server stops "
    "it and puts a backup back (underboard restore).",
    "unwritable": "The server can't read or write its disk. Your device keeps its records; on the server, "
    "underboard doctor says what it is.",
}


class Problem(Exception):
    """An error answer on its way out.

    Parameters
    ----------
    kind : one of KINDS; settles status, title and type.
    detail : one plain sentence with the fix.
    errors : `{"pointer": JSON pointer (RFC 6901), "detail": …}` each.
    retry_after : seconds to wait, sent as a header.
    more : further members of the document.
    """

    def __init__(
        self,
        kind: str,
        detail: str,
        *,
        errors: Sequence[Mapping[str, str]] = (),
        retry_after: float | None = None,
        **more: Any,
    ) -> None:
        super().__init__(detail)
        self.kind = kind
        self.status, self.title = KINDS[kind]
        self.detail = detail
        self.errors = errors
        self.retry_after = retry_after
        self.more = more

    def document(self) -> dict[str, Any]:
        """The members of RFC 9457, then ours."""
        body: dict[str, Any] = {
            "type": f"/problems/{self.kind}",
            "title": self.title,
            "status": self.status,
            "detail": self.detail,
        }
        if self.errors:
            body["errors"] = [dict(error) for error in self.errors]
        return body | self.more

    def response(self) -> Response:
        """The HTTP answer."""
        body = self.document()
        request_id = g.get("request_id")
        if request_id:
            body["request_id"] = request_id
        answer = Response(json.dumps(body), self.status, content_type=MEDIA_TYPE)
        answer.headers["Cache-Control"] = "no-store"
        if self.retry_after is not None:
            answer.headers["Retry-After"] = str(max(1, math.ceil(self.retry_after)))
        return answer


def register_problems(app: Flask) -> None:
    """Let every error of `app` leave as a problem document."""
    app.register_error_handler(Problem, lambda problem: problem.response())
    app.register_error_handler(HTTPException, _from_http)
    app.register_error_handler(Exception, _from_fault)


def _from_http(error: HTTPException) -> Response:
    status = error.code or 500
    if status < 400 and error.response is not None:
        return error.response  # type: ignore[return-value]  # a redirect, already a whole answer
    kind = _BY_STATUS.get(status) or ("malformed" if status < 500 else "server-fault")
    problem = Problem(kind, _SENTENCES.get(status, error.description or KINDS[kind][1]))
    answer = problem.response()
    for name, value in error.get_headers():
        if name == "Allow":
            answer.headers[name] = value
    return answer


def _from_fault(fault: Exception) -> Response:
    trouble = trouble_of(fault)
    if trouble is None:
        structlog.get_logger("underboard").error("fault", exc_info=fault, request_id=g.get("request_id"))
        return Problem("server-fault", _SENTENCES[500]).response()
    if trouble == "unwritable" and no_room(services().settings.data):
        trouble = "full"  # a full disk breaks some of SQLite's files in other ways than it says
    if trouble == "busy":
        return Problem("busy", "The database is busy: try again in a few seconds.", retry_after=3).response()
    why = {"why": fault.why} if isinstance(fault, PhotosAway) else {}
    structlog.get_logger("underboard").error(
        "storage", trouble=trouble, request_id=g.get("request_id"), **why
    )
    if trouble == "photos away":
        return Problem("photo-store", _PHOTOS_AWAY, retry_after=60).response()
    if trouble == "full":
        return Problem("disk-full", _DISK_FULL).response()
    if trouble == "damaged":
        note_damage(services().settings.damage_note, f"found by request {g.get('request_id')}")
    return Problem("storage", _STORAGE[trouble], retry_after=60).response()


def no_room(folder: Path) -> bool:
    """Whether the disk under a folder has not even room for a little."""
    try:
        return shutil.disk_usage(folder).free < 256 * 1024
    except OSError:
        return False
