"""The sketch in real Chromium: drawn, dragged, turned and undone by thumb and by keyboard, offline, seen by others."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.sketch_hands import (
    Point,
    corners_on_screen,
    drag,
    draw_bed,
    middle,
    open_editor,
    pinch,
    place_mark,
    said,
    shows_figure,
    tap,
    typed,
)
from tests.browser.small_plot import LONG, bearer, phone_of, sync

pytestmark = pytest.mark.browser


def of_type(server: ServerProcess, plot: str, kind: str) -> dict[str, dict[str, Any]]:
    """What the server has, by name."""
    records = server.records(plot, bearer(server, plot))
    living = [record for record in records if record["type"] == kind and not record["deleted"]]
    return {str(record["body"].get("label")): record for record in living}


def box_of(outline: list[list[float]]) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return min(xs), min(ys), max(xs), max(ys)


def test_a_bed_is_drawn_dragged_turned_and_undone_offline_and_another_phone_sees_it(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    refused: list[str] = []
    phone.page.on(
        "console", lambda message: refused.append(message.text) if "Refused" in message.text else None
    )
    page = phone.go("/plot")
    expect(page.get_by_text("1 place stands beside the plot")).to_be_visible(timeout=LONG)
    phone.offline()
    open_editor(page)
    draw_bed(page, "Long bed", length="4", width="1,2")
    before = corners_on_screen(page, "Long bed")
    pixels_a_metre = (max(x for x, _ in before) - min(x for x, _ in before)) / 4
    left, top = float(typed(page, "From the left, m")), float(typed(page, "From the top, m"))
    assert [round(value * 10) for value in (left, top)] == pytest.approx([left * 10, top * 10])  # on the grid

    # Dragged by an odd number of pixels: it lands on the next 10 cm.
    start = middle(before)
    drag(page, start, (start[0] + 33, start[1] + 47))
    expected = (round((left + 33 / pixels_a_metre) * 10) / 10, round((top + 47 / pixels_a_metre) * 10) / 10)
    said(page, "moved Long bed")
    assert float(typed(page, "From the left, m")) == pytest.approx(expected[0], abs=0.11)
    assert float(typed(page, "From the top, m")) == pytest.approx(expected[1], abs=0.11)
    assert float(typed(page, "From the left, m")) * 10 == pytest.approx(
        round(float(typed(page, "From the left, m")) * 10)
    )

    # Turned by its handle a quarter of a turn, then back by Undo, then again.
    centre = middle(corners_on_screen(page, "Long bed"))
    knob = page.locator(".handle-turn .handle-knob").bounding_box()
    assert knob
    grip = (knob["x"] + knob["width"] / 2, knob["y"] + knob["height"] / 2)
    drag(page, grip, quarter(centre, grip))
    said(page, "turned Long bed")
    shows_figure(page, "Turned, degrees", 90)
    page.get_by_role("button", name="Undo: turned Long bed").click()
    said(page, "Undone: turned Long bed")
    shows_figure(page, "Turned, degrees", 0)
    page.get_by_role("button", name="Do again: turned Long bed").click()
    said(page, "Done again")
    shows_figure(page, "Turned, degrees", 90)

    # A board put out where the thumb taps.
    page.get_by_role("button", name="Station", exact=True).click()
    spot = middle(corners_on_screen(page, "Long bed"))
    tap(page, spot)
    said(page, "put Board 3 on its spot")
    page.get_by_role("button", name="That is all").click()

    # The phone forgets nothing: shut and opened again with no network.
    page.reload(wait_until="domcontentloaded")
    expect(place_mark(page, "Long bed")).to_be_attached(timeout=LONG)
    phone.offline(False)
    sync(phone)

    bed = of_type(home, plot, "place")["Long bed"]["body"]
    x1, y1, x2, y2 = box_of(bed["outline"])
    assert (bed["length_m"], bed["width_m"]) == (4, 1.2)
    assert (x2 - x1, y2 - y1) == pytest.approx((1.2, 4), abs=0.01)
    board = of_type(home, plot, "station")["Board 3"]["body"]
    assert x1 < board["x_m"] < x2 and y1 < board["y_m"] < y2
    assert board["place_id"] == of_type(home, plot, "place")["Long bed"]["id"]
    assert (round(board["x_m"] * 10), round(board["y_m"] * 10)) == pytest.approx(
        (board["x_m"] * 10, board["y_m"] * 10)
    )

    other = phone_of(new_phone, home, plot, "Bo")
    page = other.go("/plot")
    expect(place_mark(page, "Long bed")).to_be_attached(timeout=LONG)
    open_editor(page)
    tap(page, middle(corners_on_screen(page, "Long bed"), aside=0.3))
    assert float(typed(page, "From the left, m")) == pytest.approx(x1, abs=0.001)
    shows_figure(page, "Turned, degrees", 90)
    assert phone.errors == other.errors == refused == []


def quarter(centre: Point, grip: Point) -> Point:
    """A quarter of a turn clockwise about the centre, on a screen whose y runs down."""
    return centre[0] - (grip[1] - centre[1]), centre[1] + (grip[0] - centre[0])


def test_what_two_phones_move_is_merged_and_undo_never_takes_back_anothers_work(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    first = phone_of(new_phone, home, plot, "Ada")
    page = first.go("/plot")
    open_editor(page)
    draw_bed(page, "North bed", length="3", width="1")
    draw_bed(page, "South bed", length="3", width="1")
    sync(first)
    second = phone_of(new_phone, home, plot, "Bo")
    for phone in (first, second):
        phone.go("/plot")
        open_editor(phone.page)
        phone.offline()
    tap(first.page, middle(corners_on_screen(first.page, "North bed")))
    type_in(first.page, "From the left, m", "7.5")
    said(first.page, "moved North bed")
    tap(second.page, middle(corners_on_screen(second.page, "South bed")))
    second.page.get_by_role("button", name="Turn 5° to the right").click()
    said(second.page, "turned South bed")
    for phone in (first, second):
        phone.offline(False)
    second.page.evaluate("dispatchEvent(new Event('online'))")
    first.page.evaluate("dispatchEvent(new Event('online'))")
    places = settled_places(home, plot, first.page)
    assert places["North bed"]["conflicts"] == places["South bed"]["conflicts"] == []
    assert box_of(places["North bed"]["body"]["outline"])[0] == 7.5
    turned = places["South bed"]["body"]["outline"]
    assert math.degrees(
        math.atan2(turned[1][1] - turned[0][1], turned[1][0] - turned[0][0])
    ) == pytest.approx(5, abs=0.1)

    # Bo moves what Ada moved; Ada's Undo would take Bo's work back unseen, so it says no.
    said_left = first.page.get_by_label("From the left, m")
    expect(place_mark(second.page, "North bed")).to_be_attached()
    sync_here(second)
    second.go("/plot")
    open_editor(second.page)
    tap(second.page, middle(corners_on_screen(second.page, "North bed")))
    type_in(second.page, "From the left, m", "9")
    said(second.page, "moved North bed")
    sync_here(second)
    first.page.evaluate("dispatchEvent(new Event('online'))")
    expect(said_left).to_have_value("9", timeout=LONG)
    first.page.get_by_role("button", name="Undo: moved North bed").click()
    said(first.page, "Somebody has changed that since")
    expect(said_left).to_have_value("9")


def sync_here(phone: Phone) -> None:
    """Sync from the Sync screen; the editor is left for it."""
    sync(phone)


def settled_places(server: ServerProcess, plot: str, page: Page) -> dict[str, dict[str, Any]]:
    for _ in range(80):
        places = of_type(server, plot, "place")
        outlines = [places[name]["body"]["outline"] for name in ("North bed", "South bed")]
        if box_of(outlines[0])[0] == 7.5 and outlines[1][0][1] != outlines[1][1][1]:
            return places
        page.wait_for_timeout(300)
    raise AssertionError(places)


def type_in(page: Page, label: str, text: str) -> None:
    field = page.get_by_label(label)
    field.fill(text)
    field.press("Enter")


def test_the_walk_is_told_by_tapping_the_boards(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    page = phone.go("/plot")
    open_editor(page)
    page.get_by_role("button", name="Walk", exact=True).click()
    for n, name in enumerate(("Board 2", "Board 1"), start=1):
        mark = page.locator("g[data-station]").and_(page.get_by_role("button", name=name, exact=True))
        box = mark.locator(".glyph-plank").bounding_box()
        assert box
        tap(page, (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2))
        expect(page.get_by_text(f"{n} of 2 boards")).to_be_visible()
        if n == 1:  # half-way, the phone is locked and comes back
            page.reload(wait_until="domcontentloaded")
            open_editor(page)
            page.get_by_role("button", name="Walk", exact=True).click()
            expect(page.get_by_text("1 of 2 boards")).to_be_visible()
    page.get_by_role("button", name="Save this walk").click()
    said(page, "The walk is saved.")
    sync(phone)
    stations = of_type(home, plot, "station")
    assert [stations[f"Board {n}"]["body"]["walk_order"] for n in (1, 2)] == [2, 1]


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

    whole = width()
    page.get_by_role("button", name="Farther").click()
    expect(page.get_by_role("button", name="The whole plot")).to_be_enabled()
    assert width() == pytest.approx(whole / 1.5, rel=0.01)
    page.get_by_role("button", name="The whole plot").click()
    assert width() == pytest.approx(whole, rel=0.01)
    page.get_by_role("button", name="Farther").click()
    page.get_by_role("button", name="Farther").click()
    small = width()
    sheet = page.locator(".sketch-sheet").bounding_box()
    assert sheet
    centre = (sheet["x"] + sheet["width"] / 2, sheet["y"] + sheet["height"] / 2)
    scrolled = page.evaluate("scrollY")
    pinch(page, centre, 30, 60)
    assert width() == pytest.approx(2 * small, rel=0.05)
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
