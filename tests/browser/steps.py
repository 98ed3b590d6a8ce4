"""From one screen or state to the next, and waiting until it stands."""

from __future__ import annotations

import re
from collections.abc import Iterator

from playwright.sync_api import Page

from tests.browser.phone import until
from tests.browser.small_plot import LONG

# The screen that is left stays until the next one's code is there; at the same address nothing is drawn anew.
TURN = """to => {
  globalThis.left = to === location.pathname ? null : document.querySelector('main > *');
  history.pushState({}, '', to);
  dispatchEvent(new PopStateEvent('popstate'));
}"""
TURNED = "!globalThis.left?.isConnected && document.querySelector('main :is(h1, h2, h3)') !== null"


def turn_to(page: Page, path: str) -> None:
    """Change the screen as the browser's own back and forward do, so that the page need not load again."""
    page.evaluate(TURN, path)
    until(page, TURNED, timeout=LONG)


def goto(page: Page, path: str) -> None:
    """The same, until the screen stands."""
    turn_to(page, path)
    page.locator("main h1").first.wait_for(timeout=LONG)
    settle(page)


# Nothing has changed for so long (ms) and two pictures have been drawn since.
STILL = """still => new Promise((done, fail) => {
  setTimeout(fail, 60_000, new Error('the screen does not come to rest'));
  const rest = () => { seen.disconnect(); requestAnimationFrame(() => requestAnimationFrame(done)); };
  let timer = setTimeout(rest, still);
  const seen = new MutationObserver(() => { clearTimeout(timer); timer = setTimeout(rest, still); });
  seen.observe(document, { subtree: true, childList: true, attributes: true, characterData: true });
})"""


def settle(page: Page) -> None:
    """Until nothing is waited for any more and the picture has been drawn."""
    page.locator('[aria-busy="true"]:not(.when-seen)').first.wait_for(state="detached", timeout=LONG)
    page.evaluate(STILL, 80)


def press(page: Page, name: str | re.Pattern[str]) -> None:
    scope = page.get_by_role("dialog") if page.locator("dialog[open]").count() else page.get_by_role("main")
    scope.get_by_role("button", name=name).first.click()
    settle(page)


def sheets(page: Page, where: str, *names: str) -> Iterator[str]:
    """Open each sheet by its button, and close it as the keyboard does."""
    for name in names:
        press(page, re.compile(f"^{re.escape(name)}"))
        page.get_by_role("dialog").first.wait_for()
        yield f"{where}, {name}"
        page.keyboard.press("Escape")
        page.locator("dialog[open]").first.wait_for(state="detached")
