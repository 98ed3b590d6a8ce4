"""What is answered over plain http, where anybody on the same wifi can listen and put in words of their own.

On this machine itself http is as good as https, and browsers treat it so. From another machine, once this server
speaks https, plain http shows the page that explains, the authority to install, and who is here; nothing else.
"""

from __future__ import annotations

from ipaddress import ip_address
from typing import Final

from flask import Flask, Request, Response, request

from underboard.web.problems import Problem
from underboard.web.services import services

HERE: Final = frozenset({"127.0.0.1", "localhost", "::1"})
# The calendar and the stop link of a mail open by their secret; the programs that read them have no way to install
# an authority. What they can do is read warnings of one plot, and stop mails.
_BY_SECRET: Final = ("/calendar/", "/stop/")
_OPEN: Final = frozenset({"/api/v1/hello", "/api/v1/openapi.json", "/healthz", "/metrics"})


def is_secure(asked: Request) -> bool:
    """Whether a browser lets our page keep records at the address it asked for (W3C, Secure Contexts)."""
    host = asked.host.rsplit(":", 1)[0] if not asked.host.endswith("]") else asked.host
    return asked.is_secure or host.strip("[]") in HERE


def register_plain_http(app: Flask) -> None:
    """Refuse over plain http from elsewhere what could be listened to, as soon as there is a better way."""
    app.before_request(_refuse_plain)


def _refuse_plain() -> Response | None:
    from underboard.web.views.install_ca import explain

    here = services()
    if not here.https or request.is_secure or (is_secure(request) and is_here(request.remote_addr or "")):
        return None
    if request.path.startswith(_BY_SECRET) or request.path in _OPEN or request.path.startswith("/install-ca"):
        return None
    if request.method in ("GET", "HEAD") and not request.path.startswith("/api/"):
        return explain()
    addresses = here.https_addresses()
    where = f": open {addresses[0]}" if addresses else ""
    raise Problem("not-secure", f"Others on the network could read this over plain http{where}.")


def is_here(caller: str) -> bool:
    """Whether an address is this machine's own."""
    try:
        return ip_address(caller).is_loopback
    except ValueError:
        return False
