"""What is reached by a secret address instead of a paired device: the calendar, and the stop link of a mail.

The secret is all the right there is: no cookie is looked at, so another page can do nothing here with somebody's
phone. Addresses are never logged, only their routes.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from flask import Blueprint, Response, render_template, request

from underboard.notify.calendar import TYPES, calendar_of
from underboard.notify.stop_links import StopLinks
from underboard.store import feeds, pulling, targets
from underboard.web.limits import FEED, SECRET_FAILURES, Rule
from underboard.web.problems import Problem
from underboard.web.services import services

PAGES = Path(__file__).parents[1] / "pages"
open_doors = Blueprint("open_doors", __name__, template_folder=str(PAGES))


@open_doors.get("/calendar/<secret>.ics")
def calendar(secret: str) -> Response:
    """The plot's calendar, for calendar programs (RFC 5545)."""
    _limited(FEED)
    now = services().now()
    plot_id = feeds.plot_of_feed(secret, now)
    if plot_id is None:
        _limited(SECRET_FAILURES)
        raise Problem("not-found", "There is no calendar at this address; it may have been withdrawn.")
    base = services().settings.public_url.rstrip("/") or request.host_url.rstrip("/")
    body = calendar_of(pulling.records_of(plot_id, TYPES), now, base)
    answer = Response(body, content_type="text/calendar; charset=utf-8")
    answer.headers["Content-Disposition"] = 'inline; filename="underboard.ics"'
    answer.headers["Cache-Control"] = "private, no-cache"
    answer.set_etag(hashlib.sha256(body).hexdigest()[:32])
    return answer.make_conditional(request)  # type: ignore[return-value]  # werkzeug gives the same object back


@open_doors.get("/stop/<token>")
def ask_to_stop(token: str) -> Response:
    """Ask first: mail programs open links by themselves to look what is behind them."""
    return _page(targets.address_of_stop(_handle(token)), done=False)


@open_doors.post("/stop/<token>")
def stop(token: str) -> Response:
    """Stop mails to one address: from the page's own button, or by one click in a mail program (RFC 8058)."""
    return _page(targets.stop_address(_handle(token), services().now()), done=True)


@open_doors.get("/stop.css")
def style() -> Response:
    """How the page looks; the content security policy allows no style inside it."""
    return Response((PAGES / "stop.css").read_bytes(), content_type="text/css; charset=utf-8")


def _handle(token: str) -> str:
    return StopLinks(services().settings.stop_key_file).handle(token)


def _page(address: str | None, *, done: bool) -> Response:
    if address is None:
        _limited(SECRET_FAILURES)
    answer = Response(render_template("stop.html", address=address, done=done), 200 if address else 404)
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _limited(rule: Rule) -> None:
    wait = services().limits.take(rule, request.remote_addr or "unknown")
    if wait:
        raise Problem("too-many", "Too many requests from here: wait, then try again.", retry_after=wait)
