"""The sketch without pointing: every gesture by keys; and by two fingers, with targets large enough for gloves."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.sketch_hands import (
    corners_on_screen,
    middle,
    of_type,
    open_editor,
    patiently,
    pinch,
    place_mark,
    said,
    shows_figure,
    tap,
    typed,
)
from tests.browser.small_plot import LONG, phone_of, sync

pytestmark = pytest.mark.browser


def test_everything_on_the_sketch_can_be_done_by_keyboard_alone(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    page = phone.go("/plot")
    expect(place_mark(page, "Bed")).to_be_attached(timeout=LONG)
    keys(page, "Edit sketch", "Enter")
    expect(page.get_by_role("heading", name="The sketch")).to_be_visible()
    keys(page, "Bed", "Enter", role="button", exact=True, within=".editor-adds")
    for label, text in (("Name", "Key bed"), ("Length, m", "2"), ("Width, m", "1")):
        page.get_by_label(label, exact=True).focus()
        page.keyboard.press("Control+A")
        page.keyboard.type(text)
    keys(page, "Draw it", "Enter")
    expect(place_mark(page, "Key bed")).to_be_attached(timeout=LONG)
    expect(page.get_by_role("dialog")).to_have_count(0)
    left = float(typed(page, "From the left, m"))

    # From the button above the sketch, Tab walks through the places.
    page.get_by_role("button", name="Done", exact=True).focus()
    page.keyboard.press("Tab")
    reached: list[str] = []
    while len(reached) < 2:
        reached.append(str(page.evaluate("document.activeElement.ariaLabel")))
        if reached[-1].startswith("Key bed"):
            break
        page.keyboard.press("Tab")
    assert reached[-1].startswith("Key bed"), reached
    page.keyboard.press("ArrowRight")
    said(page, "moved Key bed")
    shows_figure(page, "From the left, m", left + 0.1)
    page.keyboard.press("Shift+ArrowRight")
    shows_figure(page, "From the left, m", left + 1.1)
    page.keyboard.press(".")
    said(page, "turned Key bed")
    shows_figure(page, "Turned, degrees", 5)
    page.keyboard.press("Control+z")
    said(page, "Undone: turned Key bed")
    page.keyboard.press("Control+y")
    said(page, "Done again: turned Key bed")
    shows_figure(page, "Turned, degrees", 5)

    # A board into the middle of the bed, without pointing anywhere.
    keys(page, "Station", "Enter", exact=True)
    page.get_by_label("Or into the middle of").select_option(label="Key bed")
    keys(page, "Put it there", "Enter")
    said(page, "put Board 3 on its spot")
    keys(page, "That is all", "Enter")
    station_mark = page.locator("g[data-station]").and_(
        page.get_by_role("button", name="Board 3", exact=True)
    )
    station_mark.focus()
    page.keyboard.press("ArrowDown")
    said(page, "put Board 3 on its spot")
    page.keyboard.press("Delete")
    said(page, "Board 3 is deleted: nothing was ever noted there.")
    expect(station_mark).to_have_count(0)
    page.keyboard.press("Escape")
    keys(page, "Undo: took Board 3 away", "Enter")
    expect(station_mark).to_have_count(1)

    # What has records is never deleted, and stays in its own bed.
    counted = page.locator("g[data-station]").and_(page.get_by_role("button", name="Board 1", exact=True))
    counted.focus()
    page.keyboard.press("Delete")
    said(page, "All that was noted there is kept.")
    keys(page, "Undo: took Board 1 away", "Enter")
    expect(counted).to_have_count(1)
    sync(phone)
    stations = of_type(home, plot, "station")
    assert stations["Board 1"]["body"].get("retired_on") is None
    assert {"Board 1", "Board 2", "Board 3"} == set(stations)


def keys(
    page: Page, name: str, key: str, *, role: Any = "button", exact: bool = False, within: str = "body"
) -> None:
    """Focus a control as Tab would, and press a key on it: no pointer is used."""
    control = page.locator(within).get_by_role(role, name=name, exact=exact)
    control.focus()
    page.keyboard.press(key)


def test_zoom_by_buttons_and_by_two_fingers_and_no_target_is_too_small(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    page = phone.go("/plot")
    expect(place_mark(page, "Bed")).to_be_attached(timeout=LONG)

    def width() -> float:
        xs = [x for x, _ in corners_on_screen(page, "Bed")]
        return max(xs) - min(xs)

    def is_wide(pixels: float, within: float) -> None:
        def drawn() -> None:
            assert width() == pytest.approx(pixels, rel=within)

        patiently(page, drawn)

    whole = width()
    page.get_by_role("button", name="Farther").click()
    expect(page.get_by_role("button", name="The whole plot")).to_be_enabled()
    is_wide(whole / 1.5, 0.01)
    page.get_by_role("button", name="The whole plot").click()
    is_wide(whole, 0.01)
    page.get_by_role("button", name="Farther").click()
    is_wide(whole / 1.5, 0.01)
    page.get_by_role("button", name="Farther").click()
    small = whole / 1.5**2
    is_wide(small, 0.01)
    sheet = page.locator(".sketch-sheet").bounding_box()
    assert sheet
    centre = (sheet["x"] + sheet["width"] / 2, sheet["y"] + sheet["height"] / 2)
    scrolled = page.evaluate("scrollY")
    pinch(page, centre, 30, 60)
    is_wide(2 * small, 0.05)
    assert page.evaluate("scrollY") == scrolled  # nothing jumped
    open_editor(page)
    tap(page, middle(corners_on_screen(page, "Bed")))
    boxes = page.locator(".editor button").evaluate_all(
        "(all) => all.map((one) => [one.textContent || one.ariaLabel, one.getBoundingClientRect().width,"
        " one.getBoundingClientRect().height])"
    )
    assert [box for box in boxes if box[1] < 48 or box[2] < 48] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert re.search(r"2 × 1 m", page.get_by_role("region", name="Bed", exact=True).inner_text())
