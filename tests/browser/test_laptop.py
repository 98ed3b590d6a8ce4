"""A laptop: menu at the side, three screens side by side, and a round and a diary entry by keyboard alone."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.diary_hands import bodies
from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, phone_of, sync, walk_path

pytestmark = pytest.mark.browser
# The focus is given back with the next picture that is drawn.
SOMEWHERE = "() => ![null, document.body].includes(document.activeElement)"


QUICKLY = """(keys) => {
  for (const key of keys) document.activeElement.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true }));
}"""


def quickly(page: Page, *keys: str) -> None:
    """One key after the other as a hand presses what belongs together: the page waits no longer than it needs, and a
    slow machine may need longer for two presses by the browser's own input."""
    page.evaluate(QUICKLY, keys)


def focused(page: Page) -> str:
    """What has the focus, in words; empty when it was lost to the page itself."""
    words = page.evaluate(
        """() => {
            const one = document.activeElement;
            if (!one || one === document.body) return '';
            const label = one.labels?.[0]?.textContent;
            return (one.getAttribute('aria-label') ?? label ?? one.textContent ?? one.tagName).trim();
        }"""
    )
    return str(words)


def tab_to(page: Page, name: str, key: str = "Tab") -> None:
    """Press Tab until something of that name has the focus."""
    reached = []
    for _ in range(60):
        page.keyboard.press(key)
        reached.append(focused(page))
        if re.search(name, reached[-1]):
            return
    raise AssertionError(f"{name!r} is not reached by {key}: {reached}")


def wide(phone: Phone) -> Page:
    phone.page.set_viewport_size({"width": 1280, "height": 800})
    return phone.page


def test_a_round_and_a_diary_entry_by_keyboard_alone_and_three_screens_side_by_side(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    page = wide(phone)
    phone.go("/")
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_focused(timeout=LONG)

    # First of all stands the way to the page; it leads into it.
    tab_to(page, "^Skip to the page$", "Shift+Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("main")).to_be_focused()
    tab_to(page, "^Go on with the round$")
    page.keyboard.press("Enter")
    boards = page.get_by_label("Boards in walking order")
    expect(boards).to_be_visible(timeout=LONG)
    assert page.url.endswith(walk_path(plot))

    # The first key fetches the keyboard's code; from then on each is a step of the round.
    page.keyboard.press("?")
    keys = page.get_by_role("dialog", name="Keys")
    expect(keys).to_contain_text("None here", timeout=LONG)
    page.keyboard.press("Escape")
    expect(keys).to_be_hidden()
    until(page, SOMEWHERE)

    def plank(number: int) -> str:
        return boards.get_by_role("button", name=re.compile(rf"Board {number}\b")).inner_text()

    turned = page.locator(".turned-number")
    page.keyboard.press("Home")
    page.keyboard.press("ArrowDown")
    expect(page.get_by_role("region", name="Board 2", exact=True)).to_be_visible()
    until(page, "document.activeElement?.textContent.trim().startsWith('Board 2')")
    quickly(page, "1", "2")
    expect(turned).to_contain_text("12")
    page.keyboard.press("+")
    expect(turned).to_contain_text("13")
    page.keyboard.press("u")
    expect(turned).to_contain_text("12")
    page.keyboard.press("ArrowUp")
    expect(page.get_by_role("region", name="Board 1", exact=True)).to_be_visible()
    page.keyboard.press("n")
    expect(boards.get_by_role("button", name=re.compile(r"Board 1\b"))).to_contain_text("two counts")
    page.keyboard.press("f")
    end = page.get_by_role("dialog")
    expect(end).to_be_visible(timeout=LONG)
    tab_to(page, "^Finish the round$")
    page.keyboard.press("Enter")
    expect(end).to_be_hidden(timeout=LONG)
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_focused(timeout=LONG)

    # A note in the diary. The focus is never lost, whatever opens and closes.
    quickly(page, "g", "d")
    expect(page.get_by_role("heading", name="Diary", exact=True)).to_be_focused(timeout=LONG)
    note = page.get_by_role("button", name="Note", exact=True)
    tab_to(page, "^Note$")
    page.keyboard.press("Enter")
    form = page.get_by_role("dialog", name="New note")
    expect(form).to_be_visible()
    tab_to(page, "^What happened")
    page.keyboard.type("Net? 12 gone, nothing eaten")  # letters of a text are no keys of the screen
    tab_to(page, "^Save note$")
    page.keyboard.press("Enter")
    expect(form).to_be_hidden(timeout=LONG)
    expect(note).to_be_focused()
    expect(page.get_by_role("button", name=re.compile("^Note .*nothing eaten"))).to_be_visible()
    page.keyboard.press("n")
    expect(form).to_be_visible()
    page.keyboard.press("Escape")
    expect(form).to_be_hidden()
    expect(note).to_be_focused()

    # Removed by keys: the row that had the focus is gone, so the page's heading takes it.
    tab_to(page, "nothing eaten")
    page.keyboard.press("Enter")
    tab_to(page, "^Remove this record$")
    page.keyboard.press("Enter")
    tab_to(page, "^Yes, remove$")
    page.keyboard.press("Enter")
    expect(page.get_by_role("dialog")).to_have_count(0, timeout=LONG)
    expect(page.get_by_role("button", name=re.compile("nothing eaten"))).to_have_count(0)
    until(page, SOMEWHERE)
    page.keyboard.press("u")
    expect(page.get_by_role("button", name=re.compile("nothing eaten"))).to_have_count(1, timeout=LONG)

    sync(phone)
    counts = {(one["observer"], one["state"], one.get("count")) for one in bodies(home, plot, "slug_count")}
    assert counts == {("Ada", "counted", 5), ("Bo", "counted", 12), ("Bo", "none_found", 0)}
    assert [one["text"] for one in bodies(home, plot, "note")] == ["Net? 12 gone, nothing eaten"]
    side_by_side(phone)
    assert phone.errors == []


def side_by_side(phone: Phone) -> None:
    """Chart, map and list beside each other, the menu at the side, and keys that can be switched off."""
    page = wide(phone)
    phone.go("/diary")
    menu = page.get_by_role("navigation")
    expect(menu.get_by_role("link", name="Diary")).to_have_attribute("aria-current", "page", timeout=LONG)
    box = menu.bounding_box()
    assert box and box["x"] == 0 and box["width"] < 220 and box["height"] == 800
    menu.get_by_role("link", name="Side by side").click()
    names = ("Findings", "Plot", "Diary")
    sides = [page.get_by_role("region", name=name, exact=True) for name in names]
    for side in sides:
        expect(side.get_by_role("heading", level=1)).to_be_visible(timeout=LONG)
    boxes = [side.bounding_box() for side in sides]
    edges = [(one["x"], one["x"] + one["width"]) for one in boxes if one]
    assert edges[0][0] >= box["width"] - 1
    assert edges[0][1] <= edges[1][0] + 1 < edges[1][1] <= edges[2][0] + 1
    assert edges[2][1] <= 1281
    assert all(one and one["y"] == 0 and one["height"] == 800 for one in boxes)
    assert page.evaluate("document.documentElement.scrollWidth") <= 1280
    expect(page.get_by_role("heading", name="Side by side")).to_be_focused()
    # What is written in one column shows in the others at once; the same sheet as on a phone.
    sides[2].get_by_role("button", name="Note", exact=True).click()
    form = page.get_by_role("dialog", name="New note")
    form.get_by_label("What happened?").fill("Seen from the desk")
    form.get_by_role("button", name="Save note").click()
    expect(sides[2].get_by_role("button", name=re.compile("Seen from the desk"))).to_be_visible(timeout=LONG)

    # Single keys can be switched off, and the list is still one press away.
    menu.get_by_role("button", name="Keys").click()
    keys = page.get_by_role("dialog", name="Keys")
    keys.get_by_role("switch", name="Single keys").uncheck(timeout=LONG)
    page.keyboard.press("Escape")
    expect(keys).to_be_hidden()
    expect(menu.get_by_role("button", name="Keys")).to_be_focused()
    page.keyboard.press("?")
    page.keyboard.press("g")
    page.keyboard.press("p")
    page.wait_for_timeout(300)
    assert page.url.endswith("/desk")
    expect(keys).to_be_hidden()

    # Narrower than that: the menu is at the thumb again, and the way here is gone.
    page.set_viewport_size({"width": 800, "height": 1000})
    box = menu.bounding_box()
    assert box and box["y"] > 900 and box["width"] == 800
    expect(menu.get_by_role("link", name="Side by side")).to_be_hidden()
