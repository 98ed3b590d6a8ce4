"""With Tab, Enter and Escape alone: sheets keep the focus and give it back; traps, a crop, photos, paper, desk …"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.accessible import focus_faults
from tests.browser.camera import camera_bytes, payload
from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, phone_of, sync
from tests.browser.steps import goto, settle

pytestmark = pytest.mark.browser

# What has the focus, in words, and whether it lies in the sheet that is open.
FOCUS = """() => {
  const one = document.activeElement;
  if (!one || one === document.body) return { words: '', inside: false };
  const words = one.getAttribute('aria-label') ?? one.labels?.[0]?.textContent ?? one.textContent ?? one.tagName;
  const sheet = [...document.querySelectorAll('dialog[open]')].at(-1);
  return { words: words.trim().replace(/\\s+/g, ' '), inside: Boolean(sheet?.contains(one)) };
}"""


def focus(page: Page) -> str:
    return str(page.evaluate(FOCUS)["words"])


def comes_to(page: Page, name: str) -> None:
    """The focus is given back with the next picture that is drawn."""
    until(page, f"name => new RegExp(name).test(({FOCUS})().words)", name)


def tab_to(page: Page, name: str, key: str = "Tab") -> None:
    reached = []
    for _ in range(80):
        page.keyboard.press(key)
        reached.append(focus(page))
        if re.search(name, reached[-1]):
            return
    raise AssertionError(f"{name!r} is not reached by {key}: {reached}")


def open_by_keys(page: Page, button: str) -> None:
    tab_to(page, button)
    page.keyboard.press("Enter")
    page.get_by_role("dialog").first.wait_for(timeout=LONG)
    settle(page)


def stays_inside(page: Page) -> None:
    """Tab goes round within the sheet, or to the browser's own bar and back; never to what lies behind."""
    seen = set()
    for _ in range(60):
        page.keyboard.press("Tab")
        now = page.evaluate(FOCUS)
        assert now["inside"] or now["words"] == "", f"behind the sheet: {now['words']}"
        if now["words"] in seen and now["inside"]:
            return
        seen.add(now["words"])
    raise AssertionError(f"no end: {seen}")


def closes_and_gives_back(page: Page, to: str) -> None:
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog")).to_have_count(0, timeout=LONG)
    comes_to(page, to)


def test_sheets_photos_trials_paper_keying_and_the_desk_without_a_pointer(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    page = phone.page
    goto(page, "/diary")
    open_by_keys(page, "^Note$")
    stays_inside(page)
    closes_and_gives_back(page, "^Note$")
    crop(page)
    traps(page)
    photos(page)
    trials(page)
    paper(page)
    desk(page)
    assert phone.errors == []


def crop(page: Page) -> None:
    """From the start to the harvest."""
    tab_to(page, "^Days$", "Shift+Tab")
    page.keyboard.press("ArrowRight")
    open_by_keys(page, "^Start a crop$")
    tab_to(page, "^Which crop")
    page.keyboard.type("potatoes")
    tab_to(page, "^Bed$")
    page.keyboard.press("Space")
    saves(page, "^Start the crop$")
    open_by_keys(page, "^What happened")
    stays_inside(page)
    tab_to(page, "^Chitted|^Sown|^Planted|^Hardened")
    for _ in range(12):
        if focus(page) == "Harvested":
            break
        page.keyboard.press("ArrowRight")
    tab_to(page, "^Weight, kg$")
    page.keyboard.type("2.5")
    saves(page, "^Save$")
    expect(page.get_by_role("main")).to_contain_text("2.5 kg", timeout=LONG)
    tab_to(page, "^Crops$", "Shift+Tab")
    page.keyboard.press("ArrowLeft")  # the diary comes again as it was left
    expect(page.get_by_role("radio", name="Days", exact=True)).to_be_checked(timeout=LONG)


def traps(page: Page) -> None:
    """Set, and one of them lifted."""
    goto(page, "/traps")
    open_by_keys(page, "^Set the first traps$")
    stays_inside(page)
    tab_to(page, "^Bed$")
    page.keyboard.press("Space")
    saves(page, "^Write down 9 traps as set$")
    open_by_keys(page, "^Lift Trap 1 early$")
    stays_inside(page)
    tab_to(page, "^One more: Wireworms$")
    for _ in range(3):
        page.keyboard.press("Enter")
    saves(page, "^Save lift$")
    expect(page.get_by_role("main")).to_contain_text("3 wireworms were in them", timeout=LONG)


def saves(page: Page, button: str) -> None:
    tab_to(page, button)
    page.keyboard.press("Enter")
    expect(page.get_by_role("dialog")).to_have_count(0, timeout=LONG)
    comes_to(page, ".")


def photos(page: Page) -> None:
    goto(page, "/photos")
    pictures = [
        payload(f"{day}.jpg", camera_bytes(f"2026:04:{day} 07:30:00", (200, 30, 30 + 9 * n), (480, 360)))
        for n, day in enumerate(("10", "12"))
    ]
    page.locator("input[type=file][multiple]").first.set_input_files(pictures)
    form = page.get_by_role("dialog", name="New photos")
    expect(form.locator(".photo-row img")).to_have_count(2, timeout=LONG)
    stays_inside(page)
    tab_to(page, "^Save 2 photos$")
    page.keyboard.press("Enter")
    expect(form).to_be_hidden(timeout=LONG)
    comes_to(page, ".")
    assert focus_faults(page, "/photos") == []
    goto(page, "/photos")
    open_by_keys(page, "^Look at the photo")
    stays_inside(page)
    tab_to(page, "^Photo before$")
    page.keyboard.press("Enter")
    expect(page.get_by_role("dialog")).to_contain_text("1 / 2")
    # The button that was pressed is off now; the next picture gives the focus to the other one.
    comes_to(page, "^Next photo$")
    assert page.evaluate(FOCUS)["inside"]
    tab_to(page, "^Remove photo$")
    page.keyboard.press("Enter")
    tab_to(page, "^Cancel$")
    page.keyboard.press("Enter")
    comes_to(page, "^Remove photo$")
    closes_and_gives_back(page, "^Look at the photo")


def trials(page: Page) -> None:
    goto(page, "/trials")
    tab_to(page, "^Plan a trial$")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Its name")).to_be_visible(timeout=LONG)
    settle(page)
    assert focus_faults(page, "/trials/new") == []


def paper(page: Page) -> None:
    goto(page, "/paper")
    assert focus_faults(page, "/paper") == []
    goto(page, "/paper")
    tab_to(page, "^Key in a filled sheet")
    page.keyboard.press("Enter")
    page.get_by_role("grid").or_(page.locator(".keyed-sheet, table")).first.wait_for(timeout=LONG)
    settle(page)
    before = page.url
    tab_to(page, "Board 1")
    page.keyboard.type("7")
    expect(page.get_by_role("main")).to_contain_text("7 slugs", timeout=LONG)
    assert page.url == before


def desk(page: Page) -> None:
    page.set_viewport_size({"width": 1280, "height": 860})
    goto(page, "/desk")
    settle(page)
    assert focus_faults(page, "/desk") == []
    goto(page, "/desk")
    open_by_keys(page, "^Note$")
    stays_inside(page)
    closes_and_gives_back(page, "^Note$")
    tab_to(page, "^Keys$", "Shift+Tab")
    page.keyboard.press("Enter")
    expect(page.get_by_role("dialog", name="Keys")).to_be_visible(timeout=LONG)
    stays_inside(page)
    closes_and_gives_back(page, "^Keys$")
