"""A phone whose clock jumps by hours and years, both ways: nothing is reordered, lost or made twice."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, board, counts_of, phone_of, shows, sync, until, walk_path
from tests.faults.kills.bare_page import bundle, open_bare

pytestmark = pytest.mark.browser

HOUR, YEAR = 3_600_000, 365 * 86_400_000
JUMPS = (2 * YEAR, -3 * YEAR, HOUR, -HOUR, 0)
# Only the wall clock: timers run on, as they do on a phone that is set by hand.
CLOCK = """
  let by = 0;
  try { by = Number(localStorage.getItem('clock_of_the_test') ?? 0); } catch { /* no page yet */ }
  const Real = Date;
  globalThis.Date = class extends Real {
    constructor(...given) { given.length > 0 ? super(...given) : super(Real.now() + by); }
    static now() { return Real.now() + by; }
  };
"""


def suspects(home: ServerProcess, plot: str) -> int:
    return sum(bool(record.get("clock_suspect")) for record in counts_of(home, plot))


def marked_and_mended(phone: Phone, home: ServerProcess, plot: str) -> None:
    """The diary marks what the wrong clock sent; whoever says that its time is right takes the mark away."""
    before = suspects(home, plot)
    assert before > 0
    page = phone.go("/diary")
    page.get_by_role("button", name="time from a wrong clock").first.click(timeout=LONG)
    sheet = page.get_by_role("dialog")
    expect(sheet).to_contain_text("sent by a phone whose clock was wrong")
    sheet.get_by_role("button", name="Day and time are right").click()
    expect(sheet).to_have_count(0, timeout=LONG)
    until(home, plot, page, lambda found: sum(bool(one.get("clock_suspect")) for one in found) < before)


def test_what_was_counted_under_a_wrong_clock_lands_once_and_in_its_order(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone], tmp_path: Path
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    phone.context.add_init_script(CLOCK)
    script = bundle(tmp_path)
    promised: dict[str, str] = {}
    for taps, jump in enumerate(JUMPS, start=1):
        phone.page.evaluate("(by) => localStorage.setItem('clock_of_the_test', String(by))", jump)
        page, _ = open_bare(phone, script)
        promised.update(dict(page.evaluate("storm.queue(3)")))
        assert abs(page.evaluate("Date.now()") - page.evaluate("performance.timeOrigin") - jump) < 600_000
        phone.go(walk_path(plot))
        expect(page.get_by_role("button", name="One more slug")).to_be_visible(timeout=LONG)
        board(page, 2)
        page.get_by_role("button", name="One more slug").click()
        shows(page, 2, str(taps))
        sync(phone)
        if jump == 2 * YEAR:
            expect(page.get_by_role("main")).to_contain_text("clock of this phone is 730 days ahead")
    marked_and_mended(phone, home, plot)
    found = counts_of(home, plot)
    assert [record["conflicts"] for record in found if record["conflicts"]] == []
    there = {record["id"]: record["body"] for record in found}
    assert {i: there[i]["note"] for i in promised} == promised
    assert sorted(body["count"] for i, body in there.items() if i not in promised) == [5, len(JUMPS)]
    assert len(there) == len(promised) + 2 and not phone.errors
