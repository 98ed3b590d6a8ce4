"""A phone: one Chromium profile at phone size with touch, that can be killed and opened again."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import time
from collections.abc import Collection
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, Page, Playwright
from playwright.sync_api import Error as BrowserError

from tests.browser.server import holds_on

CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
# The same browser of the same package without its window: a third less work for the machine.
WINDOWLESS = shutil.which("chromium-headless-shell") or CHROMIUM
QUIET = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

USUAL: dict[str, Any] = {
    "viewport": {"width": 360, "height": 740},
    "device_scale_factor": 2,
    "has_touch": True,
    "is_mobile": True,
    "locale": "en-GB",
    "timezone_id": "Europe/London",
}


# A promise that is never kept would be waited for without end: it is asked anew.
ANSWERED = """(arg) => {
  const asked = (%s);
  const late = new Promise((_, fail) => setTimeout(fail, 20_000, new Error('no answer')));
  return Promise.race([typeof asked === 'function' ? asked(arg) : asked, late]);
}"""


def until(page: Page, expression: str, arg: Any = None, timeout: float = 60_000) -> Any:
    """Wait until an expression holds, and return what it gave then.

    The browser library's own waiting is stopped by the page's policy against scripts made from text, as soon as it
    has to look twice.
    """
    end = time.monotonic() + timeout / 1_000
    while True:
        with contextlib.suppress(BrowserError):  # a page that is just changing
            if found := page.evaluate(ANSWERED % expression, arg):
                return found
        assert time.monotonic() < end, f"not within {timeout:.0f} ms: {expression}"
        page.wait_for_timeout(50)


def starts_offline(page: Page) -> None:
    """Wait until the phone has all that it needs to start with no network: its worker is there only then."""
    until(page, "navigator.serviceWorker.ready.then(() => true)", timeout=180_000)
    until(page, "caches.keys().then((names) => names.length > 0)")


class Phone:
    """Opens the client in a profile of its own; `page` is the one tab that is open."""

    def __init__(
        self, playwright: Playwright, profile: Path, url: str, whole: bool = False, **options: Any
    ) -> None:
        """`whole`: the browser with its window, which notices and pictures to keep need."""
        self._playwright = playwright
        self._program = CHROMIUM if whole else WINDOWLESS
        self.profile = profile
        self.url = url
        self._options = options
        self.context: BrowserContext
        self.page: Page
        self.errors: list[str] = []
        self.open()

    def open(self, offline: bool = False) -> Page:
        """Start the browser on the profile; the page is not loaded yet."""
        self.context = self._playwright.chromium.launch_persistent_context(
            str(self.profile),
            executable_path=self._program,
            args=QUIET,
            offline=offline,
            timeout=180_000,
            **{**USUAL, **self._options},
        )
        self.context.set_default_timeout(
            60_000
        )  # for every tab; the library's own thirty seconds are short here
        self.page = self.context.pages[0] if self.context.pages else self.context.new_page()
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        return self.page

    def go(self, path: str = "/") -> Page:
        self.page.goto(self.url + path, wait_until="domcontentloaded")
        return self.page

    def kill(self, known: Collection[int] = ()) -> None:
        """End the browser with SIGKILL, all its processes at once, as a dying phone would.

        Who has looked them up before (`known`) spares the look, and hits the moment that was meant.
        """
        hit = set(known) or set(self.pids())
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            for pid in hit:
                with contextlib.suppress(ProcessLookupError):
                    os.kill(pid, signal.SIGKILL)
            hit |= (more := set(self.pids()))
            if not more and not any(holds_on(pid) for pid in hit):
                break
            time.sleep(0.02)
        with contextlib.suppress(BrowserError):
            self.context.close()
        for lock in self.profile.glob("Singleton*"):
            lock.unlink(missing_ok=True)

    def close(self) -> None:
        with contextlib.suppress(BrowserError):
            self.context.unroute_all(behavior="ignoreErrors")  # what a test still holds back ends here
        with contextlib.suppress(BrowserError):
            self.context.close()

    def offline(self, yes: bool = True) -> None:
        self.context.set_offline(yes)

    def pids(self) -> list[int]:
        """Processes of this browser that name its profile."""
        marker = str(self.profile).encode()
        found = []
        for entry in Path("/proc").iterdir():
            if entry.name.isdigit():
                with contextlib.suppress(OSError):
                    if marker in (entry / "cmdline").read_bytes():
                        found.append(int(entry.name))
        return found
