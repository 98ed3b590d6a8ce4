"""The sketch in real Chromium: drawn, dragged, turned and undone by thumb and by keyboard, offline, seen by others."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.browser.disk import draft_holds
from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.sketch_hands import (
    Point,
    box_of,
    corners_on_screen,
    drag,
    draw_bed,
    middle,
    of_type,
    open_editor,
    place_mark,
    reads,
    said,
    shows_figure,
    tap,
    typed,
)
from tests.browser.small_plot import LONG, phone_of, sync

pytestmark = pytest.mark.browser


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
    starts_offline(page)
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
    landed = reads(page, "From the left, m", expected[0], within=0.11)
    reads(page, "From the top, m", expected[1], within=0.11)
    assert landed * 10 == pytest.approx(round(landed * 10))

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
    reads(page, "From the left, m", x1, within=0.001)
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
    for _ in range(200):
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
            draft_holds(page, "sketch:walk", "c2")
            page.reload(wait_until="domcontentloaded")
            open_editor(page)
            page.get_by_role("button", name="Walk", exact=True).click()
            expect(page.get_by_text("1 of 2 boards")).to_be_visible()
    page.get_by_role("button", name="Save this walk").click()
    said(page, "The walk is saved.")
    sync(phone)
    stations = of_type(home, plot, "station")
    assert [stations[f"Board {n}"]["body"]["walk_order"] for n in (1, 2)] == [2, 1]
