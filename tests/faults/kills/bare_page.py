"""A page at the phone's own address with nothing on it but the client's storage and sync (storm.ts).

The browser library puts it where a server would: below /api, which the service worker leaves alone.
"""

from __future__ import annotations

import json
import subprocess
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import ConsoleMessage, Page, Route
from playwright.sync_api import Error as BrowserError

from tests.browser.phone import Phone, until

HERE = Path(__file__).parent
PWA = HERE.parents[2] / "pwa"
PATH = "/api/bare/page.html"
HTML = (
    '<!doctype html><meta charset="utf-8"><title>bare</title><script type="module" src="storm.js"></script>'
)
Copy = dict[str, Any]


def bundle(folder: Path) -> Path:
    """Build storm.ts and the client's sources into one file; return it."""
    done = subprocess.run(
        ["node", str(HERE / "bundle.mjs"), str(folder)],
        cwd=PWA,
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"The bare page could not be bundled.\n{done.stdout}{done.stderr}")
    return folder / "storm.js"


@dataclass
class Heard:
    """What the page said before it died."""

    lines: list[dict[str, Any]] = field(default_factory=list)

    def take(self, message: ConsoleMessage) -> None:
        word, _, rest = message.text.partition(" ")
        if word == "storm":
            self.lines.append(json.loads(rest))

    def all(self, what: str) -> list[Any]:
        return [line[what] for line in self.lines if what in line]


def open_bare(phone: Phone, script: Path) -> tuple[Page, Heard]:
    """Open the bare page in the phone's one tab; the app is not running there."""

    def serve(route: Route) -> None:
        if route.request.url.endswith(".js"):
            route.fulfill(body=script.read_bytes(), content_type="text/javascript")
        else:
            route.fulfill(body=HTML, content_type="text/html")

    phone.page.route(
        "**/api/bare/**", serve
    )  # of the page: that of a context asks workers too, maybe killed ones
    heard = Heard()
    phone.page.on("console", heard.take)
    past_worker = phone.context.new_cdp_session(phone.page)
    past_worker.send("Network.enable")
    past_worker.send("Network.setBypassServiceWorker", {"bypass": True})  # it would ask the real server
    phone.go(PATH)
    until(phone.page, "'storm' in globalThis")
    past_worker.detach()
    return phone.page, heard


def copy_of(page: Page) -> Copy:
    """The whole database of the phone, bytes as their hashes; opened as it is. `records` has those in packs, too."""
    copy: Copy | None = page.evaluate("storm.copyStore()")
    assert copy is not None, "the phone has no database"
    return unpacked(copy)


def unpacked(copy: Copy) -> Copy:
    """The same with the rows in packs among the records, as the phone sees them."""
    packed = [row for pack in copy["rows"].get("packs", []) for row in pack["rows"]]
    newest = {row["id"]: row for row in sorted(packed, key=lambda row: int(row["rev"]))}
    loose = {row["id"]: row for row in copy["rows"]["records"]}
    copy["rows"]["records"] = list((newest | loose).values())
    return copy


def begin(page: Page, call: str) -> None:
    """Let the page do something, and do not wait for it."""
    try:
        page.evaluate(f"void storm.{call}.catch((error) => console.error(String(error)))")
    except BrowserError as fault:  # pragma: no cover - it was killed while it was asked
        raise AssertionError(f"{call} could not be begun") from fault
