"""Is this request sent by our own page? Guards against other pages that use a phone's cookie (CSRF).

OWASP ASVS 5.0, 3.5.1 to 3.5.3, with Fetch Metadata (W3C) first and the Origin header for browsers that
don't send it, as on a plain http address of a home network.
"""

from __future__ import annotations

from typing import Final

from flask import Request

from underboard.web.problems import Problem

SAFE_METHODS: Final = frozenset({"GET", "HEAD", "OPTIONS"})
APP_HEADER: Final = "X-App"
# what a plain HTML form can send without asking first; never taken for anything
FORM_TYPES: Final = frozenset({"application/x-www-form-urlencoded", "multipart/form-data", "text/plain"})


def require_own_page(request: Request) -> None:
    """Refuse an unsafe request with a cookie unless it provably comes from our own page.

    Raises
    ------
    Problem : 403 `foreign-page`.
    """
    if request.method in SAFE_METHODS:
        return
    if not is_same_origin(request):
        raise Problem("foreign-page", "This request did not come from Underboard's own page.")
    if request.headers.get(APP_HEADER) != "1":
        raise Problem("foreign-page", f"The header {APP_HEADER}: 1 is missing.")
    if request.mimetype in FORM_TYPES or (not request.mimetype and request.content_length):
        raise Problem("foreign-page", "Send JSON with Content-Type: application/json.")


def refuse_other_pages(request: Request) -> None:
    """Refuse when the browser itself says that another page sent this; scripts say nothing and pass."""
    says_site = request.headers.get("Sec-Fetch-Site") is not None
    says_origin = request.headers.get("Origin") is not None
    if (says_site or says_origin) and not is_same_origin(request):
        raise Problem("foreign-page", "This request did not come from Underboard's own page.")


def is_same_origin(request: Request) -> bool:
    """Whether the browser's own headers name our origin; False when it sent neither."""
    site = request.headers.get("Sec-Fetch-Site")
    if site is not None:
        return site == "same-origin"
    return request.headers.get("Origin") == f"{request.scheme}://{request.host}"
