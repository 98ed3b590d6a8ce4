"""A browser with a trust store of its own, and a server that shows whatever certificate it is given."""

from __future__ import annotations

import os
import ssl
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

HOSTS = "--host-resolver-rules=MAP *.home.arpa 127.0.0.1,MAP bank.example 127.0.0.1"
"""Where a home network's name server would send these names."""


class TrustStore:
    """The store that Chromium reads on Linux (NSS), in a home folder that nobody else uses."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self._store = home / ".pki" / "nssdb"
        self._store.mkdir(parents=True)
        self._holds_one = False
        self._certutil("-N", "--empty-password")

    @property
    def environment(self) -> dict[str, str | float | bool]:
        return {**os.environ, "HOME": str(self.home)}

    def install(self, authority: Path) -> None:
        """Trust an authority for web servers, as a person does who follows the steps; and take off the former one."""
        if self._holds_one:
            self._certutil("-D", "-n", "household")
        self._holds_one = True
        self._certutil("-A", "-t", "C,,", "-n", "household", "-i", str(authority))

    def _certutil(self, *words: str) -> None:
        command = ["certutil", "-d", f"sql:{self._store}", *words]
        subprocess.run(command, check=True, capture_output=True, timeout=240)


class Greeting(BaseHTTPRequestHandler):
    """A page that a sham server would show."""

    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>sham</title><h1>Your savings</h1>")

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@contextmanager
def shown(pem: bytes, folder: Path) -> Iterator[int]:
    """Serve over TLS with this key and certificate; gives the port."""
    file = folder / "shown.pem"
    file.write_bytes(pem)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(file)
    with ThreadingHTTPServer(("127.0.0.1", 0), Greeting) as server:
        server.socket = context.wrap_socket(server.socket, server_side=True)
        server.handle_error = lambda *_: None  # type: ignore[method-assign]  # refused handshakes are wanted here
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server.server_port
        server.shutdown()


def wait_for_https(port: int, seconds: float = 120) -> None:
    """Until the https door is open: it has a worker of its own, which may be up a moment after the http one."""
    deadline = time.monotonic() + seconds
    while True:
        try:
            serial_at(port)
            return
        except OSError:
            assert time.monotonic() < deadline, "https does not answer"
            time.sleep(0.1)


def serial_at(port: int) -> int:
    """The serial number of the certificate that is shown there now."""
    from cryptography import x509

    return x509.load_pem_x509_certificate(
        ssl.get_server_certificate(("127.0.0.1", port), timeout=20).encode()
    ).serial_number
