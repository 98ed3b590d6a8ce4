"""A phone whose clock jumps by hours and years, both ways: nothing is reordered, lost or made twice."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, board, counts_of, phone_of, shows, sync, walk_path
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
    found = counts_of(home, plot)
    assert [record["conflicts"] for record in found if record["conflicts"]] == []
    there = {record["id"]: record["body"] for record in found}
    assert {i: there[i]["note"] for i in promised} == promised
    assert sorted(body["count"] for i, body in there.items() if i not in promised) == [5, len(JUMPS)]
    assert len(there) == len(promised) + 2 and not phone.errors
