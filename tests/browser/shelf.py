"""A server of built clients that can put a newer one in the place of an older one, at one address."""

from __future__ import annotations

import shutil
import subprocess
import threading
from contextlib import closing, suppress
from http.client import HTTPConnection
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

PWA = Path(__file__).parents[2] / "pwa"


class Shelf:
    """Serves one built client at a time from one address, as an upgraded server does; missing paths are the app.

    What is asked of the interface goes to the server at `home` (host and port), while there is one.
    """

    def __init__(self, folder: Path, home: str = "") -> None:
        self.folder = folder
        self.home = home
        self.broken: set[str] = set()
        self.asked: list[str] = []
        shelf = self

        class Handler(SimpleHTTPRequestHandler):
            def translate_path(self, path: str) -> str:
                name = path.split("?")[0].lstrip("/") or "index.html"
                return str(shelf.folder / name)

            def do_GET(self) -> None:
                shelf.asked.append(self.path)
                if self.path.startswith("/api/") and shelf.home:
                    self.hand_on()
                    return
                if self.path in shelf.broken or self.path.startswith("/api/"):
                    self.send_error(404)
                    return
                if not Path(self.translate_path(self.path)).is_file():
                    self.path = "/index.html"
                super().do_GET()

            def hand_on(self) -> None:
                server = HTTPConnection(shelf.home, timeout=60)
                # A page that is left or reloaded does not wait for its answers.
                with closing(server), suppress(ConnectionError):
                    self.exchange(server)

            def exchange(self, server: HTTPConnection) -> None:
                body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
                server.request(self.command, self.path, body or None, dict(self.headers.items()))
                answer = server.getresponse()
                data = answer.read()
                self.send_response(answer.status)
                for name, value in answer.getheaders():
                    if name.lower() not in (
                        "transfer-encoding",
                        "connection",
                        "content-length",
                        "cache-control",
                    ):
                        self.send_header(name, value)
                self.send_header("Content-Length", str(len(data)))
                self.end_headers()
                if self.command != "HEAD":
                    self.wfile.write(data)

            def do_HEAD(self) -> None:
                self.do_GET()

            do_POST = do_PUT = do_HEAD

            def end_headers(self) -> None:
                self.send_header("Cache-Control", "no-cache")
                super().end_headers()

            def log_message(self, *_: Any) -> None:
                """The test says what went wrong."""

        self._server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.url = f"http://127.0.0.1:{self._server.server_port}"
        threading.Thread(target=self._server.serve_forever, daemon=True).start()

    def close(self) -> None:
        self._server.shutdown()
        self._server.server_close()


def build_with(folder: Path, changes: dict[str, tuple[str, str]]) -> Path:
    """Build the client from a copy of its sources in which some text (file → what, instead) is another."""
    copy = folder / "pwa"
    shutil.copytree(PWA, copy, ignore=shutil.ignore_patterns("node_modules", ".vite"))
    (copy / "node_modules").symlink_to(PWA / "node_modules")
    for name, (what, instead) in changes.items():
        file = copy / "src" / name
        text = file.read_text(encoding="utf-8")
        assert what in text
        file.write_text(text.replace(what, instead), encoding="utf-8")
    node = shutil.which("node")
    assert node, "Node is needed to build the client; deploy/test puts it on the path"
    command = [
        node,
        "node_modules/vite/bin/vite.js",
        "build",
        "--outDir",
        str(folder / "out"),
        "--emptyOutDir",
    ]
    done = subprocess.run(command, cwd=copy, capture_output=True, text=True, timeout=280)
    assert done.returncode == 0, done.stderr
    return folder / "out"
