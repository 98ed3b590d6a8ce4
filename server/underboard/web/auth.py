"""Who is asking. The only place that decides it: a bearer token or the device cookie, nothing else.

Tokens are random and kept by the server as SHA-256 only. The cookie lives 400 days and rolls on
(the longest that browsers keep one): a phone that logs itself out in the field would lose people's trust;
revocation and one plot per device stand in for short sessions (OWASP ASVS 5.0, 7.1.1, 7.4.5).
"""

from __future__ import annotations

import hashlib
import re
from datetime import timedelta
from typing import TYPE_CHECKING, Final, cast

from flask import Flask, Response, g, request

from underboard.core.errors import StoreFault
from underboard.web.problems import Problem
from underboard.web.roles import Act, may
from underboard.web.same_site import require_own_page
from underboard.web.services import services

if TYPE_CHECKING:
    from underboard.store.people import Device

COOKIE: Final = "__Host-dev"
COOKIE_AGE: Final = timedelta(days=400)
ROLL_AFTER: Final = timedelta(days=1)
_BEARER: Final = re.compile(r"[Bb]earer +([!-~]{16,512})")


def require(act: Act, plot_id: str | None = None) -> Device:
    """The device behind this request, if it may do `act` (to `plot_id`, when the address names one).

    Raises
    ------
    Problem : 401 unknown or revoked; 403 right device, wrong role or foreign page; 404 another plot.
    """
    device = _identify()
    if plot_id is not None and plot_id != device.plot_id:
        # not 403: a stranger's plot must look exactly like one that doesn't exist
        raise Problem("not-found", "There is no such plot here.")
    if not may(device.role, act):
        raise Problem("not-allowed", f"A {device.role} of this plot can't do that: ask the owner.")
    return device


def hash_of(token: str) -> str:
    """What the store keeps of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def set_cookie(answer: Response, token: str) -> None:
    """Hand the device its token in a cookie that no script can read (OWASP ASVS 5.0, 3.3.1 to 3.3.4)."""
    answer.set_cookie(
        COOKIE, token, max_age=COOKIE_AGE, path="/", secure=True, httponly=True, samesite="Strict"
    )


def clear_cookie(answer: Response) -> None:
    """Take the token back from the browser."""
    answer.set_cookie(COOKIE, "", max_age=0, path="/", secure=True, httponly=True, samesite="Strict")


def register_auth(app: Flask) -> None:
    """Renew the cookie of devices that are in use."""
    app.after_request(_roll_cookie)


def _identify() -> Device:
    if "device" in g:
        return cast("Device", g.device)
    from underboard.store import people

    header = request.headers.get("Authorization", "")
    bearer = _BEARER.fullmatch(header.strip())
    token = bearer.group(1) if bearer else request.cookies.get(COOKIE, "")
    if not token:
        raise Problem("pair-again", "This device isn't paired with a plot: pair it first.")
    if not bearer:
        require_own_page(request)
    device = people.device_for(hash_of(token))
    if device is None:
        raise Problem("pair-again", "This device isn't known here, or was removed: pair it again.")
    g.device, g.device_id = device, device.id
    _note_visit(device, None if bearer else token)
    return device


def _note_visit(device: Device, cookie: str | None) -> None:
    from underboard.store import people

    now = services().now()
    # By the distance: a clock that was ahead and is right again must not keep a visit from being noted.
    if device.last_seen_at is not None and abs(now - device.last_seen_at) < timedelta(minutes=5):
        return
    if cookie and (device.last_seen_at is None or now - device.last_seen_at >= ROLL_AFTER):
        g.roll_cookie = cookie
    try:
        people.touch(device.id, now)
    except StoreFault:
        return  # on a full disk records can still be read


def _roll_cookie(answer: Response) -> Response:
    token = g.get("roll_cookie")
    if token and answer.status_code < 400 and COOKIE not in answer.headers.get("Set-Cookie", ""):
        set_cookie(answer, token)
    return answer
