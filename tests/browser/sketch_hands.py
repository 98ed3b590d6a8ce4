"""A thumb on the sketch: taps, drags and pinches as real touches, and what the sketch shows, in pixels."""

from __future__ import annotations

import time
from collections.abc import Callable
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from playwright.sync_api import CDPSession, Locator, Page, expect

from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer

Point = tuple[float, float]


def place_mark(page: Page, name: str) -> Locator:
    """The place on the sketch, with or without numbers after its name."""
    return page.locator(f'g[data-place][aria-label="{name}"], g[data-place][aria-label^="{name}. "]')


def corners_on_screen(page: Page, name: str) -> list[Point]:
    """Corners of a place in pixels of the window, as drawn now."""
    expect(place_mark(page, name)).to_be_attached(timeout=LONG)
    sheet = page.locator(".sketch-sheet").bounding_box()
    points = place_mark(page, name).locator("polygon").first.get_attribute("points")
    assert sheet and points
    pairs = [pair.split(",") for pair in points.split(" ")]
    return [(sheet["x"] + float(x), sheet["y"] + float(y)) for x, y in pairs]


def middle(corners: list[Point], aside: float = 0.0) -> Point:
    """The middle, or so far (share of half the long side) along from it."""
    x = sum(x for x, _ in corners) / len(corners)
    y = sum(y for _, y in corners) / len(corners)
    (x1, y1), (x2, y2), (x3, y3) = corners[:3]
    first, second = (x2 - x1, y2 - y1), (x3 - x2, y3 - y2)
    long = max(first, second, key=lambda side: side[0] ** 2 + side[1] ** 2)
    return x + aside * long[0] / 2, y + aside * long[1] / 2


def open_editor(page: Page) -> None:
    page.get_by_role("button", name="Edit sketch").click(timeout=LONG)
    expect(page.locator(".sketch-work .sketch-sheet")).to_be_visible()


def draw_bed(page: Page, name: str, *, length: str, width: str) -> None:
    page.locator(".editor-adds").get_by_role("button", name="Bed", exact=True).click()
    page.get_by_label("Name", exact=True).fill(name)
    page.get_by_label("Length, m").last.fill(length)
    page.get_by_label("Width, m").last.fill(width)
    page.get_by_role("button", name="Draw it").click()
    expect(page.get_by_role("dialog")).to_have_count(0, timeout=LONG)
    said(page, f"drew {name}")


def said(page: Page, words: str) -> None:
    """The line below the sketch says so, which it does only once the disk has it."""
    expect(page.locator(".editor-words")).to_contain_text(words, timeout=LONG)


def typed(page: Page, label: str) -> str:
    """The figure in a field of the chosen place or station."""
    return page.get_by_label(label).input_value()


def shows_figure(page: Page, label: str, value: float) -> None:
    """The same once the screen has read the disk again."""
    expect(page.get_by_label(label)).to_have_value(f"{round(value, 3):g}", timeout=LONG)


def reads(page: Page, label: str, value: float, within: float) -> float:
    """The same for a figure that is known but for so much; answers it."""

    def near() -> None:
        assert abs(float(typed(page, label)) - value) <= within

    patiently(page, near)
    return float(typed(page, label))


def tap(page: Page, at: Point) -> None:
    page.touchscreen.tap(*at)


def drag(page: Page, start: Point, end: Point, steps: int = 8) -> None:
    """One finger, as the phone's own touches."""
    session = page.context.new_cdp_session(page)
    touch(session, "touchStart", [start])
    for n in range(1, steps + 1):
        share = n / steps
        touch(
            session,
            "touchMove",
            [(start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))],
        )
    touch(session, "touchEnd", [])
    session.detach()


def pinch(page: Page, centre: Point, near: float, far: float, steps: int = 8) -> None:
    """Two fingers side by side, from `near` to `far` pixels off the centre."""
    session = page.context.new_cdp_session(page)

    def fingers(off: float) -> list[Point]:
        return [(centre[0] - off, centre[1]), (centre[0] + off, centre[1])]

    touch(session, "touchStart", fingers(near))
    for n in range(1, steps + 1):
        touch(session, "touchMove", fingers(near + (far - near) * n / steps))
    touch(session, "touchEnd", [])
    session.detach()


def touch(session: CDPSession, kind: str, points: list[Point]) -> None:
    told = [{"x": x, "y": y, "id": number} for number, (x, y) in enumerate(points)]
    session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": told})


def of_type(server: ServerProcess, plot: str, kind: str) -> dict[str, dict[str, Any]]:
    """What the server has, by name."""
    records = server.records(plot, bearer(server, plot))
    living = [record for record in records if record["type"] == kind and not record["deleted"]]
    return {str(record["body"].get("label")): record for record in living}


def box_of(outline: list[list[float]]) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    return min(xs), min(ys), max(xs), max(ys)


def patiently(page: Page, check: Callable[[], None], seconds: float = 60) -> None:
    """Let the screen catch up with what the phone has just pulled."""
    deadline = time.monotonic() + seconds
    while True:
        try:
            check()
            return
        except AssertionError:
            if time.monotonic() > deadline:
                raise
            page.wait_for_timeout(300)


def printed(value: float) -> str:
    """As people round: a half goes up; ten and more have no decimals; nought is nought."""
    places = "0.1" if value < 9.95 else "1"
    return "0" if value == 0 else str(Decimal(repr(value)).quantize(Decimal(places), ROUND_HALF_UP))


def tenth(value: float) -> str:
    return str(Decimal(repr(value)).quantize(Decimal("0.1"), ROUND_HALF_UP))
