"""Nothing jumps, also when a file of the client comes late; and what the browser says of time zones."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Page, Playwright, Route, expect

from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, new_plot, push
from tests.browser.warned import id_of

pytestmark = pytest.mark.browser

# Good is below 0.1 (web.dev, "Cumulative Layout Shift"); a thumb on its way is missed by less.
STILL = 0.02
# Sums what moved, without what a tap has moved (Layout Instability, W3C draft).
MOVED = """globalThis.moved = 0;
if (location.search === '?first') localStorage.removeItem('underboard.needs_you'); // as on a phone never closed before
new PerformanceObserver((list) => {
  for (const one of list.getEntries()) if (!one.hadRecentInput) globalThis.moved += one.value;
}).observe({ type: 'layout-shift', buffered: true });"""
DRAWN = "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))"


@pytest.fixture(scope="module")
def phone(
    playwright: Playwright, tmp_path_factory: pytest.TempPathFactory, home: ServerProcess
) -> Iterator[Phone]:
    """Joined to a plot where two people counted one board; no worker, so that single files can be held back."""
    plot_id = new_plot(home)
    push(home, home.bearer(plot_id), plot_id, counted_twice(plot_id))
    profile = tmp_path_factory.mktemp("phone")
    made = Phone(
        playwright, profile, home.url, service_workers="block", viewport={"width": 412, "height": 823}
    )
    made.page.add_init_script(MOVED)
    made.go(f"/#pair={home.code_for(plot_id)}")
    made.page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    made.page.get_by_label("Your name").fill("Ada", timeout=LONG)
    made.page.get_by_role("button", name="Next").click()
    expect(due(made.page)).to_be_visible(timeout=LONG)
    yield made
    made.close()


def ago(days: int) -> str:
    return (datetime.now(ZoneInfo("Europe/London")) - timedelta(days=days)).isoformat(timespec="seconds")


def counted_twice(plot_id: str) -> list[dict[str, Any]]:
    """Board 1 of today's round, which Ada has counted, by Bo."""
    return [a_count(plot_id, "d9", "b0", "c1", 0)]


def a_count(plot_id: str, end: str, walk: str, board: str, days: int) -> dict[str, Any]:
    at = {"round_id": id_of(plot_id, walk), "station_id": id_of(plot_id, board), "observed_at": ago(days)}
    seen = {"state": "counted", "count": 7, "observer": "Bo"}
    return {"type": "slug_count", "id": id_of(plot_id, end), "set": {**at, **seen}}


def due(page: Page) -> Any:
    return page.get_by_role("link", name="Go on with the round")


def asks(page: Page) -> Any:
    return page.get_by_role("heading", name="1 thing needs your word")


def held_back(page: Page, file: str) -> list[Route]:
    """Requests for a file of the client, until they are let go on."""
    held: list[Route] = []
    page.route(f"**/assets/{file}-*.js", lambda route: held.append(route))
    return held


def test_now_stands_still_whatever_comes_late(phone: Phone) -> None:
    page = phone.page
    held = held_back(page, "late")
    phone.go("/?first")
    due(page).evaluate("(link) => link.setAttribute('data-under-thumb', '')")
    expect(asks(page)).to_be_visible()  # counted after the first picture: it stands under the others
    for route in held:
        route.continue_()
    until(page, "performance.getEntriesByType('resource').some(({ name }) => name.includes('/late-'))")
    page.evaluate(DRAWN)
    assert page.locator("[data-under-thumb]").count() == 1, "it was taken away and drawn anew"
    assert page.evaluate("globalThis.moved") < STILL
    # The next time it is known from the beginning, and stands where it is seen.
    page.unroute_all()
    phone.go("/")
    expect(asks(page)).to_be_visible()
    expect(due(page)).to_be_visible()
    page.evaluate(DRAWN)
    assert page.evaluate("globalThis.moved") < STILL


# What makes a browser read through all its languages, as long as no card is drawn; keeps no test from the rest.
ASKED = """globalThis.asked = [];
const note = (name) => document.querySelector('.now .card') ?? globalThis.asked.push(name);
for (const name of ['Collator', 'DateTimeFormat', 'NumberFormat'])
  Intl[name] = new Proxy(Intl[name], {
    construct: (of, args) => (note(name), Reflect.construct(of, args)),
    apply: (of, self, args) => (note(name), Reflect.apply(of, self, args)),
  });
const { localeCompare } = String.prototype;
String.prototype.localeCompare = function (...args) {
  note('localeCompare');
  return localeCompare.apply(this, args);
};"""


def test_a_second_start_asks_the_browser_for_no_formatter(phone: Phone) -> None:
    """Its first takes as long as all the rest of a start: what it says is kept (text/kept_writing.ts)."""
    page = phone.page
    until(page, "localStorage.getItem('underboard.writing') !== null")
    page.add_init_script(ASKED)
    phone.go("/")
    expect(due(page)).to_be_visible(timeout=LONG)
    if page.evaluate("typeof Temporal !== 'undefined'"):  # without it time zones need one
        assert page.evaluate("globalThis.asked") == []


# The offset of summer and winter, of half hours, of the far ends, and of changes that are minutes away.
ZONES = ["Europe/London", "Asia/Kathmandu", "America/St_Johns", "Pacific/Apia", "Australia/Lord_Howe", "UTC"]
AGREE = """(zones) => {
  const formatted = (at, timeZone) => {
    const two = '2-digit';
    const shape = { hourCycle: 'h23', year: 'numeric', month: two, day: two, hour: two, minute: two, second: two };
    const parts = new Intl.DateTimeFormat('en-GB', { timeZone, ...shape }).formatToParts(at);
    const { year, month, day, hour, minute, second } = Object.fromEntries(parts.map((p) => [p.type, +p.value]));
    return Date.UTC(year, month - 1, day, hour, minute, second) - at;
  };
  const asked = (at, zone) =>
    Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone).offsetNanoseconds / 1e6;
  const moments = Array.from({ length: 120 }, (_, i) => Date.UTC(2011, 11, 29 + i * 45, i % 24, (i * 7) % 60));
  moments.push(...[-1e3, 0, 1e3].map((ms) => Date.UTC(2026, 2, 29, 1) + ms));
  const apart = (zone) => moments.filter((at) => asked(at, zone) !== formatted(at, zone));
  return zones.flatMap((zone) => apart(zone).map((at) => [zone, at]));
}"""


def test_both_clocks_of_the_browser_agree(phone: Phone) -> None:
    """agronomy/local_time.ts takes the faster of the two that a browser has."""
    assert until(phone.page, "typeof Temporal") in ("object", "undefined")
    if phone.page.evaluate("typeof Temporal !== 'undefined'"):
        assert phone.page.evaluate(AGREE, ZONES) == []
