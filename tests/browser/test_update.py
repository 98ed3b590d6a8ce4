"""A newer client: offered, taken at a tap with one reload, and never at the cost of what is on the phone."""

from __future__ import annotations

import shutil
import subprocess
import threading
from collections.abc import Callable, Iterator
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Phone, until

pytestmark = pytest.mark.browser

PWA = Path(__file__).parents[2] / "pwa"


class Shelf:
    """Serves one built client at a time from one address, as an upgraded server does; missing paths are the app."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.broken: set[str] = set()
        self.asked: list[str] = []
        shelf = self

        class Handler(SimpleHTTPRequestHandler):
            def translate_path(self, path: str) -> str:
                name = path.split("?")[0].lstrip("/") or "index.html"
                return str(shelf.folder / name)

            def do_GET(self) -> None:
                shelf.asked.append(self.path)
                if self.path in shelf.broken or self.path.startswith("/api/"):
                    self.send_error(404)
                    return
                if not Path(self.translate_path(self.path)).is_file():
                    self.path = "/index.html"
                super().do_GET()

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


def build(folder: Path, welcome: str) -> Path:
    """Build the client from a copy of its sources in which the welcome says something else."""
    copy = folder / "pwa"
    shutil.copytree(PWA, copy, ignore=shutil.ignore_patterns("node_modules", ".vite"))
    (copy / "node_modules").symlink_to(PWA / "node_modules")
    words = copy / "src" / "text" / "en" / "now.ts"
    text = words.read_text(encoding="utf-8")
    assert "Turn the first board" in text
    words.write_text(text.replace("Turn the first board", welcome), encoding="utf-8")
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
    done = subprocess.run(command, cwd=copy, capture_output=True, text=True, timeout=180)
    assert done.returncode == 0, done.stderr
    return folder / "out"


@pytest.fixture(scope="module")
def builds(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    old = build(tmp_path_factory.mktemp("old"), "The older one")
    return old, build(tmp_path_factory.mktemp("new"), "The newer one")


@pytest.fixture
def shelf(builds: tuple[Path, Path], tmp_path: Path) -> Iterator[Shelf]:
    served = Shelf(builds[0])
    yield served
    served.close()


def count_loads(page: Page) -> list[str]:
    loads: list[str] = []
    page.on("framenavigated", lambda frame: loads.append(frame.url))
    return loads


def open_controlled(phone: Phone) -> Page:
    page = phone.go("/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    until(page, "navigator.serviceWorker.controller !== null")
    expect(page.get_by_role("heading", name="The older one")).to_be_visible()
    return page


def test_an_update_waits_to_be_accepted_and_reloads_once(
    new_phone: Callable[..., Phone], shelf: Shelf, builds: tuple[Path, Path]
) -> None:
    phone = new_phone(shelf.url)
    page = open_controlled(phone)
    shelf.folder = builds[1]
    page.reload()
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_visible()
    expect(page.get_by_role("heading", name="The older one")).to_be_visible()
    page.get_by_role("button", name="Later").click()
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_hidden()
    page.reload()
    expect(page.get_by_role("heading", name="The older one")).to_be_visible()

    loads = count_loads(page)
    page.get_by_role("button", name="Update").click()
    expect(page.get_by_role("heading", name="The newer one")).to_be_visible()
    page.wait_for_timeout(1500)
    assert len(loads) == 1, loads
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_hidden()
    assert not phone.errors


def test_what_is_on_the_phone_survives_the_update(
    new_phone: Callable[..., Phone], shelf: Shelf, builds: tuple[Path, Path]
) -> None:
    phone = new_phone(shelf.url)
    page = open_controlled(phone)
    count = "indexedDB.databases().then((found) => found.map((one) => [one.name, one.version]))"
    before = page.evaluate(count)
    page.evaluate("localStorage.setItem('underboard.look', 'dawn')")
    shelf.folder = builds[1]
    page.reload()
    page.get_by_role("button", name="Update").click()
    expect(page.get_by_role("heading", name="The newer one")).to_be_visible()
    assert before and page.evaluate(count) == before
    expect(page.locator("html")).to_have_attribute("data-look", "dawn")


def test_half_an_update_leaves_the_old_client_in_use(
    new_phone: Callable[..., Phone], shelf: Shelf, builds: tuple[Path, Path]
) -> None:
    phone = new_phone(shelf.url)
    page = open_controlled(phone)
    old, new = ({path.name for path in (folder / "assets").iterdir()} for folder in builds)
    shelf.broken = {f"/assets/{name}" for name in sorted(new - old)[:1]}
    assert shelf.broken
    shelf.folder = builds[1]
    page.reload()
    page.wait_for_timeout(2500)
    expect(page.get_by_role("heading", name="The older one")).to_be_visible()
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_hidden()
    phone.offline()
    page.reload()
    expect(page.get_by_role("heading", name="The older one")).to_be_visible()


def test_the_worker_never_asks_for_the_api_or_the_version(
    new_phone: Callable[..., Phone], shelf: Shelf
) -> None:
    phone = new_phone(shelf.url)
    from_worker: list[str] = []
    phone.context.on(
        "request", lambda request: from_worker.append(request.url) if request.service_worker else None
    )
    page = open_controlled(phone)
    page.goto(f"{shelf.url}/round/none")
    page.evaluate("fetch('/api/v1/hello').catch(() => null)")
    page.wait_for_timeout(500)
    assert from_worker
    assert not [url for url in from_worker if "/api/" in url or "version.json" in url]
    assert page.evaluate("fetch('/api/v1/hello').then((answer) => answer.status)") == 404
