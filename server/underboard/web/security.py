"""Headers on every answer. Numbers in brackets: OWASP ASVS 5.0, chapter V3."""

from __future__ import annotations

from typing import Final

from flask import Flask, Response, request

from underboard.web.services import services

# 3.4.3, 3.4.6. No inline script or style anywhere, no other origin, no frames.
CONTENT_SECURITY_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
    "worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; object-src 'none'; "
    "frame-ancestors 'none'; require-trusted-types-for 'script'"
)

HSTS_S: Final = 365 * 24 * 3600


def register_headers(app: Flask) -> None:
    """Add the protective headers after each request. There is never a CORS header (3.4.2).

    Strict-Transport-Security (3.4.1) is sent only if the settings ask for it and this server has renewed its
    certificate by itself: one that lapses on a home network would lock people out of records that are only on
    their phones.
    """
    app.after_request(_add_headers)


def _add_headers(answer: Response) -> Response:
    headers = answer.headers
    headers.setdefault("Content-Security-Policy", CONTENT_SECURITY_POLICY)
    headers.setdefault("X-Content-Type-Options", "nosniff")  # 3.4.4
    headers.setdefault("Referrer-Policy", "no-referrer")  # 3.4.5
    headers.setdefault("Cross-Origin-Opener-Policy", "same-origin")  # 3.4.8
    headers.setdefault("Cross-Origin-Resource-Policy", "same-origin")
    if request.is_secure and services().settings.hsts and services().keeper.is_proven():
        headers.setdefault("Strict-Transport-Security", f"max-age={HSTS_S}")
    if request.path.startswith("/api/"):
        headers.setdefault("Cache-Control", "no-store")
    return answer
