"""What a page must be for everybody: axe's rules, targets for wet gloves, text at twice its size, focus by keyboard.

Axe and `accessible.js` are put in by the debugger and not as scripts of the page: its policy lets no such script in.
"""

from __future__ import annotations

from pathlib import Path

from playwright.sync_api import Page

AXE = Path(__file__).parents[2] / "pwa" / "node_modules" / "axe-core" / "axe.min.js"
CHECKS = Path(__file__).with_name("accessible.js")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
LOOKS = ("dawn", "day")
# Rules that depend on colours; the others find the same in both looks.
COLOUR_RULES = ["color-contrast", "link-in-text-block"]
# Android accessibility help, "Touch target size": 48 dp. Larger than WCAG 2.2, 2.5.8, whose exceptions hold here too:
# links within a sentence, and what stands on a map, which the list beside it opens as well.
TARGET_PX = 48


def put_checks_in(page: Page) -> None:
    if page.evaluate("typeof checks === 'undefined'"):
        session = page.context.new_cdp_session(page)
        for file in (AXE, CHECKS):
            session.send("Runtime.evaluate", {"expression": file.read_text(encoding="utf-8")})
        session.detach()


def text_size(page: Page, percent: int) -> None:
    """As a phone does whose person wants larger text: everything is measured by the root's size."""
    page.evaluate("size => { document.documentElement.style.fontSize = size }", f"{percent}%")


def faults_of(page: Page, name: str) -> list[str]:
    """Everything that is wrong with what is on the screen now, each with the state's name before it."""
    put_checks_in(page)
    asked = {"looks": LOOKS, "tags": TAGS, "colourRules": COLOUR_RULES, "least": TARGET_PX}
    found: list[str] = page.evaluate("asked => checks.faults(asked)", asked)
    return [f"{name}: {one}" for one in found]


def focus_faults(page: Page, name: str, at_most: int = 400) -> list[str]:
    """Press Tab from the top until the focus leaves the page: what it never comes past, where it is caught, where a
    person cannot see it."""
    put_checks_in(page)
    wanted = page.evaluate("checks.countControls()")
    page.evaluate("document.querySelector('.skip').focus()")
    page.keyboard.press("Tab")
    page.keyboard.press("Shift+Tab")  # from here on the browser knows that a keyboard is used
    passed: dict[str, str] = {}
    found: list[str] = []
    last = ""
    for _ in range(at_most):
        now = page.evaluate("checks.focused()")
        # A field for a time takes several presses, one for each of its parts.
        if now is None or (now["key"] in passed and now["key"] != last):
            break
        last = now["key"]
        passed[last] = now["words"]
        if not now["shown"]:
            found.append(f'{name}: the focus on {now["tag"]} "{now["words"]}" is not to be seen')
        page.keyboard.press("Tab")
    else:
        found.append(f"{name}: after {at_most} presses of Tab the focus is still within the page")
    if len(passed) < wanted:
        end = list(passed.values())[-5:]
        found.append(f"{name}: {wanted} controls, and Tab comes past {len(passed)}: {end} last")
    return found
