"""Every error answer: a problem document (RFC 9457) with one plain sentence.

Views raise `Problem`; this module is the one place that turns errors into HTTP.
"""

from __future__ import annotations

import errno
import json
import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

import structlog
from flask import Flask, Response, g
from werkzeug.exceptions import HTTPException

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
    if is_disk_full(fault):
        return Problem(
            "disk-full",
            "The server's disk is full: nothing was stored, keep your records and free some space.",
        ).response()
    if is_busy(fault):
        return Problem("busy", "The database is busy: try again in a few seconds.", retry_after=3).response()
    structlog.get_logger("underboard").error("fault", exc_info=fault, request_id=g.get("request_id"))
    return Problem("server-fault", _SENTENCES[500]).response()


def is_disk_full(fault: BaseException) -> bool:
    """Whether any error in the chain says that there is no room left, in files or in the database."""
    for link in _chain(fault):
        if isinstance(link, OSError) and link.errno in (errno.ENOSPC, errno.EDQUOT):
            return True
        # SQLITE_FULL (13) and PostgreSQL 53100 disk_full
        if getattr(link, "sqlite_errorname", "") == "SQLITE_FULL" or getattr(link, "sqlstate", "") == "53100":
            return True
    return False


def is_busy(fault: BaseException) -> bool:
    """Whether the database asked us to come back: locked, lock timeout, too many connections, shutting down."""
    for link in _chain(fault):
        if getattr(link, "sqlite_errorname", "").startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
            return True
        # PostgreSQL appendix A: 55P03 lock_not_available, 53300, 57P0x, 40P01 deadlock, class 08 connection
        state = getattr(link, "sqlstate", None) or ""
        if state in ("55P03", "53300", "40P01", "57P01", "57P02", "57P03") or state.startswith("08"):
            return True
    return False


def _chain(fault: BaseException | None) -> list[BaseException]:
    links: list[BaseException] = []
    while fault is not None and fault not in links:
        links.append(fault)
        fault = getattr(fault, "orig", None) or fault.__cause__ or fault.__context__
    return links
