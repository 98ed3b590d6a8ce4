"""The ladder in the hand: what its head says and when one may stop, the other hand, light and screen, lost power."""

from __future__ import annotations

import math
import re
import uuid
from collections.abc import Callable
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from playwright.sync_api import Locator, Page, expect
from scipy.stats import chi2

from tests.browser.disk import draft_holds
from tests.browser.phone import Phone, starts_offline, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, board, phone_of, push, shows, walk_path

pytestmark = pytest.mark.browser
Make = Callable[..., Phone]

# Counts of six earlier rounds on eight boards: six levels, so that the plot's own clumping can be learnt.
EARLIER = (
    (0, 1, 2, 3, 4, 2, 1, 3),
    (2, 4, 6, 3, 5, 4, 7, 1),
    (4, 8, 12, 7, 9, 8, 13, 3),
    (0, 1, 2, 1, 0, 2, 1, 1),
    (1, 3, 5, 2, 4, 3, 5, 1),
    (3, 6, 9, 5, 7, 6, 10, 2),
)


def learnt_plot(home: ServerProcess, plot: str) -> None:
    """Six more boards on the small plot, and six mornings on which all eight were counted."""
    headers = bearer(home, plot)
    stem = walk_path(plot).rsplit("/", 1)[-1][:-2]
    new = [str(uuid.uuid4()) for _ in range(6)]
    boards = [f"{stem}c1", f"{stem}c2", *new]
    station = {"kind": "slug_board", "place_id": f"{stem}a0"}
    records: list[dict[str, Any]] = [
        {"type": "station", "id": board_id, "set": {**station, "label": f"Board {n}", "walk_order": n}}
        for n, board_id in enumerate(new, start=3)
    ]
    now = datetime.now(ZoneInfo("Europe/London")).replace(hour=6)
    for days, counts in enumerate(EARLIER, start=1):
        at = (now - timedelta(days=days)).isoformat(timespec="seconds")
        walk, by = str(uuid.uuid4()), {"observed_at": at, "observer": "Ada"}
        records.append(
            {"type": "round", "id": walk, "set": {"kind": "dawn", "started_at": at, "valid": True, **by}}
        )
        for board_id, count in zip(boards, counts, strict=True):
            state = {"state": "counted", "count": count} if count else {"state": "none_found", "count": 0}
            body = {"round_id": walk, "station_id": board_id, **state, **by}
            records.append({"type": "slug_count", "id": str(uuid.uuid4()), "set": body})
    push(home, headers, plot, records)


def stop_total(n: int) -> float:
    """Green 1970, Researches on Population Ecology 12:249, with Taylor's law (1961) on the rounds above; D = 0.25."""
    logs = [(math.log(np.mean(r)), math.log(np.var(r, ddof=1))) for r in EARLIER]
    b, log_a = np.polyfit([x for x, _ in logs], [y for _, y in logs], 1)
    return float((math.exp(log_a) * n ** (1 - b) / 0.25**2) ** (1 / (2 - b)))


def one_place(value: float) -> Decimal:
    """As people round: a half goes up."""
    return Decimal(str(float(value))).quantize(Decimal("0.1"), ROUND_HALF_UP)


def head_of(page: Page) -> Locator:
    return page.locator(".round-head")


def tap(page: Page, number: int, times: int) -> None:
    board(page, number)
    for _ in range(times):
        page.get_by_role("button", name="One more slug").click()


def test_the_head_says_mean_interval_usual_and_when_it_is_enough(
    home: ServerProcess, plot: str, new_phone: Make
) -> None:
    learnt_plot(home, plot)
    page = phone_of(new_phone, home, plot, "Ada").page
    head = head_of(page)
    means = [float(np.mean(counts)) for counts in EARLIER]
    middle, low, high = (one_place(np.percentile(means, q)) for q in (50, 25, 75))
    expect(head).to_contain_text(f"usual {middle}, mostly {low} to {high}", timeout=LONG)
    expect(head).to_contain_text("1 of 8 boards")
    expect(head).to_contain_text("More boards still sharpen")

    # Board 1 has 5 already. Six boards with 13 slugs are the first that reach the line; 12 are not enough.
    assert 12 < stop_total(6) <= 13
    for number, slugs in ((2, 2), (3, 2), (4, 1), (5, 1), (6, 1)):
        tap(page, number, slugs)
        shows(page, number, str(slugs))
    expect(head).to_contain_text("6 of 8 boards")
    expect(head).to_contain_text("More boards still sharpen")
    tap(page, 6, 1)
    expect(head).to_contain_text("Enough boards for today. You may stop here.", timeout=LONG)
    # 13 slugs on 6 boards, spread as chance would: exact Poisson limits, Garwood 1936, Biometrika 28:437.
    lower, upper = chi2.ppf(0.025, 26) / 2 / 6, chi2.ppf(0.975, 28) / 2 / 6
    expect(head).to_contain_text(f"{13 / 6:.1f} a board")
    expect(head).to_contain_text(f"95 %: {lower:.1f} to {upper:.1f}")
    at_the_end(page, f"95 %: {lower:.1f} to {upper:.1f}, Poisson, exact")
    # One wet board of many slugs: the interval is now that of clumped counts and it is wider.
    tap(page, 7, 20)
    shows(page, 7, "20")
    at_the_end(page, "negative binomial")
    page.get_by_role("button", name="Undo", exact=True).click()
    shows(page, 7, "19")
    expect(head).to_contain_text("7 of 8 boards")


def at_the_end(page: Page, words: str) -> None:
    """What the end of the round would say, looked at and left again."""
    page.get_by_role("button", name="Finish", exact=True).click()
    end = page.get_by_role("dialog", name="End of the round")
    expect(end).to_contain_text(words, timeout=LONG)
    end.get_by_role("button", name="Back to the boards").click()
    expect(end).to_be_hidden(timeout=LONG)


def test_the_large_key_changes_sides_and_stays_there(home: ServerProcess, plot: str, new_phone: Make) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    page = phone.page

    def middles() -> tuple[float, float]:
        boxes = [
            page.get_by_role("button", name=name).bounding_box()
            for name in ("One more slug", "One slug fewer")
        ]
        assert boxes[0] and boxes[1]
        assert boxes[0]["width"] > 2 * boxes[1]["width"] and boxes[0]["height"] >= 96
        return tuple(box["x"] + box["width"] / 2 for box in boxes if box)  # type: ignore[return-value]

    plus, minus = middles()
    assert plus > 180 > minus
    page.get_by_role("button", name="Settings of the round").click()
    page.get_by_label("Left-handed").click()
    page.keyboard.press("Escape")
    plus, minus = middles()
    assert plus < 180 < minus
    page.reload()
    expect(page.get_by_role("button", name="One more slug")).to_be_visible(timeout=LONG)
    plus, minus = middles()
    assert plus < 180 < minus


WAKE = """(() => {
  const told = { asked: 0, let_go: 0 };
  Object.defineProperty(window, 'wake', { value: told });
  const shown = { now: 'visible' };
  Object.defineProperty(document, 'visibilityState', { get: () => shown.now });
  window.turn = (to) => { shown.now = to; document.dispatchEvent(new Event('visibilitychange')); };
  const request = async () => {
    told.asked += 1;
    if (window.refuse) throw new DOMException('battery', 'NotAllowedError');
    return { release: async () => { told.let_go += 1; } };
  };
  Object.defineProperty(Navigator.prototype, 'wakeLock', { get: () => ({ request }) });
})()"""


def test_the_screen_stays_on_while_a_round_is_open(home: ServerProcess, plot: str, new_phone: Make) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    page = phone.page
    page.add_init_script(WAKE)
    phone.go(walk_path(plot))
    until(page, "wake.asked > 0")
    # The phone takes the lock away whenever the page is hidden: it is asked for again.
    page.evaluate("turn('hidden')")
    asked = page.evaluate("wake.asked")
    page.evaluate("turn('visible')")
    until(page, "asked => wake.asked > asked", arg=asked)
    page.evaluate("window.refuse = true")
    asked = page.evaluate("wake.asked")
    page.evaluate("turn('visible')")
    until(page, "asked => wake.asked > asked", arg=asked)
    expect(page.get_by_role("alert")).to_have_count(0)
    page.get_by_role("button", name="Leave the round; it stays where it is").click()
    until(page, "wake.let_go > 0")
    assert phone.errors == []


GROUND = "getComputedStyle(document.documentElement).backgroundColor.match(/\\d+/g).slice(0, 3)"
DARK, PALE = f"Math.max(...{GROUND}) < 40", f"Math.min(...{GROUND}) > 200"


def test_amber_before_sunrise_and_pale_by_day(home: ServerProcess, plot: str, new_phone: Make) -> None:
    headers = bearer(home, plot)
    where = {"name": "Two boards", "time_zone": "Europe/London", "latitude": 51.48, "longitude": 0.0}
    epoch = home.call("GET", f"/api/v1/sync/pull?plot={plot}", headers=headers)
    rev = next(record["rev"] for record in epoch["records"] if record["type"] == "plot")
    push(home, headers, plot, [{"type": "plot", "id": plot, "set": where, "base_rev": rev}])
    phone = phone_of(new_phone, home, plot, "Ada")
    page = phone.page
    # Greenwich, 21 June 2026: the sun rises at 03:43 and sets at 20:21 UTC (US Naval Observatory, from memory;
    # the hours asked here lie more than half an hour from both).
    for at, look in (("03:00", "dawn"), ("04:30", "day"), ("19:30", "day"), ("21:00", "dawn")):
        page.clock.set_fixed_time(f"2026-06-21T{at}:00Z")
        phone.go(walk_path(plot))
        expect(page.get_by_role("button", name="One more slug")).to_be_visible(timeout=LONG)
        expect(page.locator("html")).to_have_attribute("data-look", look, timeout=LONG)
        until(page, DARK if look == "dawn" else PALE)


def test_a_half_filled_end_survives_a_dead_phone(home: ServerProcess, plot: str, new_phone: Make) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    page = phone.page
    starts_offline(page)
    board(page, 2)
    page.get_by_role("button", name="Eggs", exact=True).click()
    expect(page.get_by_role("region", name="Board 2", exact=True)).to_contain_text("1 egg cluster")
    page.get_by_role("button", name="Undo", exact=True).click()
    shows(page, 2, "not turned yet")
    page.get_by_role("button", name="None here", exact=True).click()
    shows(page, 2, "0")
    page.get_by_role("button", name="Finish", exact=True).click()
    end = page.get_by_role("dialog", name="End of the round")
    end.get_by_label("Damp").check(force=True)
    end.get_by_label(re.compile("Lowest of the night")).fill("3.5")
    draft_holds(
        page, "round_end", "3.5", "damp"
    )  # a draft follows the finger; it is not confirmed like a count
    phone.kill()
    page = phone.open(offline=True)
    phone.go(walk_path(plot))
    shows(page, 2, "0")
    page.get_by_role("button", name="Finish", exact=True).click(timeout=LONG)
    end = page.get_by_role("dialog", name="End of the round")
    expect(end.get_by_label(re.compile("Lowest of the night"))).to_have_value("3.5", timeout=LONG)
    expect(end.get_by_label("Damp")).to_be_checked()
    end.get_by_role("button", name="Finish the round").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)


def test_the_board_that_was_tapped_last_is_open_again_however_soon_the_page_is_lost(
    home: ServerProcess, plot: str, new_phone: Make
) -> None:
    """The thumb goes on to a board and the phone goes into the pocket: page dropped in the very moment of the tap."""
    page = phone_of(new_phone, home, plot, "Ada").page
    for turn in range(8):
        plank = page.get_by_label("Boards in walking order").get_by_role("button").nth(1 - turn % 2)
        with page.expect_navigation(wait_until="domcontentloaded", timeout=LONG):
            plank.evaluate("plank => { plank.click(); location.reload(); }")
        expect(plank).to_have_attribute("aria-current", "step", timeout=LONG)


def test_none_here_asks_before_it_takes_a_number_away(
    home: ServerProcess, plot: str, new_phone: Make
) -> None:
    page = phone_of(new_phone, home, plot, "Ada").page
    board(page, 1)
    none_here = page.get_by_role("button", name="None here", exact=True)
    sheet = page.get_by_role("dialog", name="Board 1 has 5 already. None after all?")
    none_here.click()
    sheet.get_by_role("button", name="Keep 5", exact=True).click()
    expect(sheet).to_be_hidden()
    shows(page, 1, "5")
    expect(page.get_by_role("region", name="Board 1", exact=True)).to_be_visible()  # and is not left
    none_here.click()
    sheet.get_by_role("button", name="None after all").click()
    shows(page, 1, "0")
    expect(page.get_by_role("region", name="Board 2", exact=True)).to_be_visible(timeout=LONG)
    page.get_by_role("button", name="Undo", exact=True).click()
    shows(page, 1, "5")
    board(page, 2)
    none_here.click()  # nothing to lose: no question
    shows(page, 2, "0")
