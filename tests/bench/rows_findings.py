"""Rows of Findings: ten years of one plot on the phone, 120,000 observations, in Chromium."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime, timedelta
from statistics import median
from typing import Any

from playwright.sync_api import Page, expect

from tests.bench.table import Row, at_most, info
from tests.browser.phone import until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import push

# From the tap on the bar's entry to the frame that shows the sentence and the canvas of the first picture.
OPENED = """() => new Promise((done) => {
  const began = performance.now();
  const there = () => document.querySelector('[data-picture="slug-pressure"] .u-over');
  const watch = new MutationObserver(() => {
    if (!there()) return;
    watch.disconnect();
    requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - began)));
  });
  watch.observe(document.body, { childList: true, subtree: true });
  document.querySelector('a[href="/findings"]').click();
})"""
# From the choice of a time to the second frame after it; the picture of the first is replaced in between.
CHOSEN = """(n) => new Promise((done) => {
  const began = performance.now();
  document.querySelectorAll('.segment input')[n].click();
  requestAnimationFrame(() => setTimeout(() => requestAnimationFrame(() => done(performance.now() - began))));
})"""
# The boards of the ten years, which only the phone knows.
BOARDS = """() => new Promise((done, no) => {
  const open = indexedDB.open('underboard');
  open.onerror = no;
  open.onsuccess = () => {
    const all = open.result.transaction('records').objectStore('records').index('type_at');
    const asked = all.getAll(IDBKeyRange.bound(['station', ''], ['station', '\\uffff']));
    asked.onsuccess = () => {
      open.result.close();
      done(asked.result.filter((row) => row.body.kind === 'slug_board').map((row) => row.id));
    };
  };
})"""
STILL_READING = "!document.body.textContent.includes('Reading older records')"
ALL, SEASON = 2, 1


def findings_rows(page: Page, server: ServerProcess, plot_id: str, runs: int, n: int) -> list[Row]:
    """Open Findings after a start and again, show all ten years, and read them for the first time."""
    return [*measured(page, server.url, runs, n), after_a_round(page, server, plot_id, runs, n)]


def measured(page: Page, url: str, runs: int, n: int) -> list[Row]:
    at_now(page, url)
    page.evaluate(OPENED)
    began = float(page.evaluate("performance.now()"))
    page.evaluate(CHOSEN, ALL)
    page.wait_for_timeout(2_000)
    until(page, STILL_READING, timeout=300_000)
    read = (float(page.evaluate("performance.now()")) - began) / 1_000
    shown = []
    for _ in range(runs):
        page.evaluate(CHOSEN, SEASON)
        shown.append(float(page.evaluate(CHOSEN, ALL)))
    started, again = [], []
    for _ in range(runs):
        at_now(page, url)
        started.append(float(page.evaluate(OPENED)))
        page.get_by_role("link", name="Now").click()
        page.wait_for_timeout(1_500)
        again.append(float(page.evaluate(OPENED)))
    of = f"{n:,} observations"
    spread = f"{of}, {min(again):.0f} to {max(again):.0f} ms in {runs} openings"
    return [
        at_most("findings of ten years, first picture after a start", median(started), "ms", 500, of),
        at_most("findings of ten years, opened again", median(again), "ms", 300, spread),
        at_most("findings of ten years, all years shown", median(shown), "ms", 500, of),
        info("findings: ten years read and reckoned once, behind the screen", read, "s", of),
    ]


def after_a_round(page: Page, server: ServerProcess, plot_id: str, runs: int, n: int) -> Row:
    """Somebody else's round of 50 boards comes in by sync after the start; then Findings is opened."""
    boards = page.evaluate(BOARDS)
    headers = server.bearer(plot_id)
    took = []
    for turn in range(runs + 1):
        walk = a_round(boards, datetime.now(UTC) - timedelta(minutes=runs + 1 - turn))
        push(server, headers, plot_id, walk)
        at_now(page, server.url)
        until(page, HERE, walk[-1]["id"])
        page.wait_for_timeout(1_500)
        took.append(float(page.evaluate(OPENED)))
        shown = page.locator(".u-over").first
        expect(shown).to_be_visible()
    spread = f"{n:,} observations and {len(boards)} new ones, {min(took[1:]):.0f} to {max(took[1:]):.0f} ms"
    return at_most("findings of ten years after a new round came in", median(took[1:]), "ms", 500, spread)


HERE = """(id) => new Promise((done, no) => {
  const open = indexedDB.open('underboard');
  open.onerror = no;
  open.onsuccess = () => {
    const asked = open.result.transaction('records').objectStore('records').getKey(id);
    asked.onsuccess = () => { open.result.close(); done(asked.result !== undefined); };
  };
})"""


def a_round(boards: list[str], at: datetime) -> list[dict[str, Any]]:
    """A walked round with ids of its own time, as a phone makes them (UUIDv7, RFC 9562, 5.7)."""
    stamp = f"{int(at.timestamp() * 1000):012x}"

    def new_id(n: int) -> str:
        return f"{stamp[:8]}-{stamp[8:]}-7000-8000-{secrets.token_hex(4)}{n:04x}"

    walk, when = new_id(0), at.isoformat(timespec="seconds")
    counted = {"round_id": walk, "state": "counted", "observed_at": when, "observer": "Ada"}
    return [
        {"type": "round", "id": walk, "set": {"kind": "dawn", "observed_at": when, "started_at": when}},
        *(
            {
                "type": "slug_count",
                "id": new_id(n),
                "set": {**counted, "station_id": board, "count": n % 7 + 1},
            }
            for n, board in enumerate(boards, start=1)
        ),
    ]


def at_now(page: Page, url: str) -> None:
    page.goto(url + "/", wait_until="domcontentloaded")
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=60_000)
    page.wait_for_timeout(2_000)
