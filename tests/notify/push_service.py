"""A push service that speaks real HTTP on this machine, and answers as it is told."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

DROP = -1
"""Take the message in, then break the connection off without a word."""
DROP_BEFORE = -2
"""Break the connection off before the message is read."""


@dataclass(frozen=True)
class Received:
    """One request as it came."""

    path: str
    headers: dict[str, str]
    body: bytes


@dataclass
class PushService:
    """`answers`: status and headers to give one after the other; 201 when there are no more."""

    url: str = ""
    answers: list[tuple[int, dict[str, str]]] = field(default_factory=list)
    received: list[Received] = field(default_factory=list)

    def will_answer(self, status: int, **headers: str) -> None:
        self.answers.append((status, {name.replace("_", "-"): value for name, value in headers.items()}))

    def take(self, handler: BaseHTTPRequestHandler) -> None:
        status, headers = self.answers.pop(0) if self.answers else (201, {})
        if status != DROP_BEFORE:
            body = handler.rfile.read(int(handler.headers.get("Content-Length") or 0))
            self.received.append(Received(handler.path, dict(handler.headers.items()), body))
        handler.close_connection = True
        if status in (DROP, DROP_BEFORE):
            return
        handler.send_response(status)
        for name, value in {"Content-Length": "0", **headers}.items():
            handler.send_header(name, value)
        handler.end_headers()


@contextmanager
def running() -> Iterator[PushService]:
    """A service on a free port."""
    service = PushService()

    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_POST(self) -> None:
            service.take(self)

        do_GET = do_POST  # nobody should; a followed redirect would

        def log_message(self, *_: Any) -> None:
            """The test says what went wrong."""

    with ThreadingHTTPServer(("127.0.0.1", 0), Handler) as server:
        service.url = f"http://127.0.0.1:{server.server_port}"
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield service
        server.shutdown()
        thread.join()
