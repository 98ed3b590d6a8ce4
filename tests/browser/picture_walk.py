"""An invented plot, a night and a morning in May 2026, and the walk through its screens of which pictures are kept."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from playwright.sync_api import Page, Playwright, expect

from tests.browser.kept_pictures import accept, phone_for_pictures
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, push, shows
from tests.browser.steps import goto, settle
from tests.browser.warned import (
    BED,
    NIGHT,
    TUNNEL,
    ZONE,
    id_of,
    joined,
    new_warned_plot,
    records_of_evening,
    synced,
    type_evening,
)

DAWN = datetime(2026, 5, 13, 5, 10, tzinfo=ZoneInfo(ZONE))
BOARDS = (("Board 1", BED), ("Board 2", BED), ("Board 3", TUNNEL))
EARLIER = (
    ("2026-04-29", (3, 5, 0)),
    ("2026-05-03", (4, 2, 1)),
    ("2026-05-07", (6, 3, 0)),
    ("2026-05-11", (2, 7, 1)),
)


def ground(plot_id: str) -> list[dict[str, Any]]:
    """Where the two places lie, three boards, four rounds."""
    corners = {BED: (0, 0, 4, 1.2), TUNNEL: (0, 2, 6, 3)}
    stations = [
        {
            "type": "station",
            "id": id_of(plot_id, f"b{n}"),
            "set": {"kind": "slug_board", "place_id": id_of(plot_id, place), "label": label, "walk_order": n,
                    "size_m2": 0.15},
        }
        for n, (label, place) in enumerate(BOARDS, start=3)
    ]  # fmt: skip
    rounds: list[dict[str, Any]] = []
    for turn, (day, counts) in enumerate(EARLIER):
        at = f"{day}T05:20:00+01:00"
        walk = id_of(plot_id, f"{turn}0")
        rounds.append(
            {"type": "round", "id": walk, "set": {"kind": "dawn", "observed_at": at, "started_at": at,
             "finished_at": at, "surface": "damp", "valid": True, "observer": "Ada"}}
        )  # fmt: skip
        for n, count in enumerate(counts, start=3):
            state = {"state": "counted", "count": count} if count else {"state": "none_found"}
            rounds.append(
                {"type": "slug_count", "id": id_of(plot_id, f"{turn}{n}"), "set": {"round_id": walk,
                 "station_id": id_of(plot_id, f"b{n}"), "observed_at": at, "observer": "Ada", **state}}
            )  # fmt: skip
    return [*stations, *rounds, *(outline(plot_id, place, *box) for place, box in corners.items())]


def outline(plot_id: str, place: str, left: float, top: float, length: float, width: float) -> dict[str, Any]:
    right, bottom = left + length, top + width
    shape = [[left, top], [right, top], [right, bottom], [left, bottom]]
    size = {"length_m": length, "width_m": width, "outline": shape}
    return {"type": "place", "id": id_of(plot_id, place), "base_rev": 1, "set": size}


def take(playwright: Playwright, server: ServerProcess, folder: Path) -> Iterator[tuple[str, Page]]:
    """Yield each picture's name when its screen is ready to be taken."""
    plot, headers = new_warned_plot(server)
    push(server, headers, plot, ground(plot))
    push(server, headers, plot, records_of_evening(plot, 4.5, 3.0))
    server.here("warn", "--at", NIGHT.isoformat(), "--plot", plot)
    phone = joined(
        lambda url, _name: phone_for_pictures(playwright, folder / "phone", url), server, plot, "Maren"
    )
    try:
        page = phone.page
        phone.context.clock.set_fixed_time(NIGHT)
        synced(phone)
        yield from night(page)
        phone.context.clock.set_fixed_time(DAWN)
        wear_day(page)
        yield from morning(page)
    finally:
        phone.close()


def wear_dawn(page: Page) -> None:
    _wear(page, "dawn")


def wear_day(page: Page) -> None:
    _wear(page, "day")


def _wear(page: Page, look: str) -> None:
    page.evaluate("look => localStorage.setItem('underboard.look', look)", look)
    page.reload()
    page.locator("main h1").first.wait_for(timeout=LONG)
    settle(page)


def night(page: Page) -> Iterator[tuple[str, Page]]:
    wear_dawn(page)
    goto(page, "/")
    page.get_by_role("article").first.wait_for(timeout=LONG)
    settle(page)
    yield "now-warned-dawn", page
    page.get_by_role("article").first.get_by_role("link").first.click()
    page.locator("svg.night-sheet").first.wait_for(timeout=LONG)
    settle(page)
    yield "warning-dawn", page
    goto(page, "/watch")
    yield "watch-dawn", page
    goto(page, "/evening")
    type_evening(page, "5", "3")
    page.locator(".night-chance").wait_for(timeout=LONG)
    settle(page)
    yield "evening-dawn", page


def morning(page: Page) -> Iterator[tuple[str, Page]]:
    goto(page, "/plot")
    page.locator(".bed-value").first.wait_for(timeout=LONG)
    settle(page)
    yield "plot-day", page
    goto(page, "/readings")
    yield "readings-day", page
    goto(page, "/watch/frost")
    yield "watch-frost-day", page
    goto(page, "/")
    page.get_by_role("button", name="Start the dawn round").click(timeout=LONG)
    page.get_by_role("button", name="One more slug").wait_for(timeout=LONG)
    for _ in range(3):
        page.get_by_role("button", name="One more slug").click()
    shows(page, 1, "3")
    expect(page.locator(".round-head")).to_contain_text("usual", timeout=LONG)  # read after the first picture
    settle(page)
    yield "round-day", page
    page.get_by_role("button", name="Next board").click()
    page.get_by_role("region", name="Board 2", exact=True).wait_for(timeout=LONG)
    page.get_by_role("button", name=re.compile("^Could not turn")).click()
    settle(page)
    yield "could-not-turn-day", page
    page.keyboard.press("Escape")
    page.get_by_role("button", name="None here", exact=True).click()
    shows(page, 2, "0")
    page.get_by_role("button", name="Finish", exact=True).click()
    settle(page)
    yield "end-of-round-day", page


if __name__ == "__main__":
    accept(take, sys.argv[1:])
