"""The built client: pages, scripts, worker, icons, with the cache rules that make updates safe.

Hashed files may be kept for ever; everything with a fixed name is asked for again each time. Any page
address without a file behind it is answered with the shell, which then shows the right screen.
"""

from __future__ import annotations

import gzip
import hashlib
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from flask import Blueprint, Response, current_app, request
from werkzeug.routing import BaseConverter
from werkzeug.security import safe_join

from underboard.web.problems import Problem

CLIENT_FOLDER: Final = Path(__file__).with_name("client")
FOR_EVER: Final = "public, max-age=31536000, immutable"
ASK_AGAIN: Final = "no-cache"

# by hand: what the machine's own table says differs between systems, and nosniff makes that matter
_TYPES: Final = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".json": "application/json",
    ".ipynb": "application/x-ipynb+json",
    ".webmanifest": "application/manifest+json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".ico": "image/x-icon",
    ".woff2": "font/woff2",
    ".txt": "text/plain; charset=utf-8",
}
_PACKED: Final = frozenset({".html", ".js", ".css", ".json", ".ipynb", ".webmanifest", ".svg", ".txt"})


class PagePath(BaseConverter):
    """Any path outside the API, so that a wrong API address is not found rather than a wrong method."""

    regex = "(?!api/).*?"
    part_isolating = False
    weight = 300


client_files = Blueprint("client_files", __name__)


@dataclass(frozen=True)
class ClientFile:
    """One file in memory, plain and packed."""

    changed: tuple[int, int]
    plain: bytes
    packed: bytes | None
    tag: str


class ClientFiles:
    """Files of one folder, read once and again when they change; the whole client is a few hundred kB."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._lock = threading.Lock()
        self._kept: dict[str, ClientFile] = {}

    def find(self, name: str) -> ClientFile | None:
        """The file called `name` below the folder, or None; names that begin with a dot are the builder's own."""
        if any(part.startswith(".") for part in name.split("/")):
            return None
        joined = safe_join(str(self.folder), name)
        if joined is None or not Path(joined).is_file():
            return None
        path = Path(joined)
        facts = path.stat()
        changed = (facts.st_mtime_ns, facts.st_size)
        with self._lock:
            kept = self._kept.get(name)
        if kept is None or kept.changed != changed:
            plain = path.read_bytes()
            packed = gzip.compress(plain, 9, mtime=0) if path.suffix in _PACKED else None
            kept = ClientFile(changed, plain, packed, hashlib.sha256(plain).hexdigest()[:32])
            with self._lock:
                self._kept[name] = kept
        return kept


@client_files.get("/")
def shell() -> Response:
    """The start page."""
    return _answer("index.html")


@client_files.get("/<page:name>")
def file_or_deep_link(name: str) -> Response:
    """A built file, or the shell for a page address such as /round/0193…"""
    if _files().find(name) is not None:
        return _answer(name)
    if "." in name.rsplit("/", 1)[-1] or not request.accept_mimetypes.accept_html:
        raise Problem("not-found", "There is no such file.")
    return _answer("index.html")


def _files() -> ClientFiles:
    files: ClientFiles = current_app.extensions["underboard_client"]
    return files


def _answer(name: str) -> Response:
    file = _files().find(name)
    if file is None:
        raise Problem("not-found", "The pages are not built yet: run deploy/run, or npm run build in pwa.")
    return answer_with(file, name, for_ever=name.startswith("assets/"))


def answer_with(file: ClientFile, name: str, *, for_ever: bool) -> Response:
    """The file, packed where the browser takes it; asked for again each time unless its name changes with it."""
    packed = file.packed if request.accept_encodings["gzip"] else None
    answer = Response(packed if packed is not None else file.plain)
    answer.headers["Content-Type"] = _TYPES.get(Path(name).suffix, "application/octet-stream")
    answer.headers["Cache-Control"] = FOR_EVER if for_ever else ASK_AGAIN
    if file.packed is not None:
        answer.vary.add("Accept-Encoding")
    if packed is not None:
        answer.headers["Content-Encoding"] = "gzip"
    answer.set_etag(file.tag, weak=packed is not None)
    return answer.make_conditional(request)  # type: ignore[return-value]  # werkzeug gives the same object back
