"""One JSON line per request, and the id that ties an answer to it. Never a body, cookie, token, code or query."""

from __future__ import annotations

import contextlib
import logging
import re
import sys
import uuid
from typing import Any, Final

import structlog
from flask import Flask, Response, g, request

from underboard.web.services import services

LOG: Final = "underboard"
_GOOD_ID: Final = re.compile(r"[A-Za-z0-9._-]{8,64}")


def set_up_log(level: str) -> None:
    """Send structlog's lines to standard error as JSON; standard output belongs to the commands."""
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            structlog.processors.JSONRenderer(),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(logging.getLevelNamesMapping()[level.upper()]),
        logger_factory=lambda *_: _Lines(sys.stderr),
        cache_logger_on_first_use=False,
    )


class _Lines(structlog.PrintLogger):
    """A log that is written as far as it can be: a full disk under it is no reason to fail what is logged."""

    def msg(self, message: str) -> None:
        with contextlib.suppress(OSError):
            super().msg(message)

    log = debug = info = warn = warning = fatal = failure = err = error = critical = exception = msg


def register_request_log(app: Flask) -> None:
    """Give every request an id, and write and count it when it is answered."""
    app.before_request(_begin)
    app.after_request(_end)


def _begin() -> None:
    offered = request.headers.get("X-Request-Id", "")
    g.request_id = offered if _GOOD_ID.fullmatch(offered) else uuid.uuid4().hex
    g.began = services().monotonic()


def _end(answer: Response) -> Response:
    answer.headers["X-Request-Id"] = g.get("request_id", "")
    seconds = services().monotonic() - g.get("began", services().monotonic())
    route = request.url_rule.rule if request.url_rule else "none"
    method = request.method if request.method in _METHODS else "other"
    tallies = services().tallies
    tallies.add("underboard_requests_total", route=route, method=method, status=str(answer.status_code))
    tallies.add("underboard_request_seconds_total", seconds, route=route, method=method)
    facts: dict[str, Any] = {
        "request_id": g.get("request_id"),
        "method": method,
        "route": route,
        "status": answer.status_code,
        "ms": round(seconds * 1000, 1),
        "device": g.get("device_id"),
    }
    structlog.get_logger(LOG).info("request", **facts)
    return answer


_METHODS: Final = frozenset({"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH"})
