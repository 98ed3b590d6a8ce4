"""Rows of Findings: ten years of one plot on the phone, 120,000 observations, in Chromium."""

from __future__ import annotations

from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from playwright.sync_api import Page, Playwright, expect

from tests.bench.rows_client import bench_page, build_bundle, served
from tests.bench.table import Row, at_most, info
from tests.browser.phone import until

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
STILL_READING = "!document.body.textContent.includes('Reading older records')"
ALL, SEASON = 2, 1


def findings_rows(playwright: Playwright, runs: int) -> list[Row]:
    """Open Findings after a start and again, show all ten years, and read them for the first time."""
    with TemporaryDirectory() as folder, served(Path(folder)) as server:
        bundle = build_bundle(Path(folder))
        code = server.run("pair", "--new-plot", "--show-code")["code"]
        with bench_page(playwright, server, bundle) as page:
            page.evaluate("(code) => bench.pair(code)", code)
            plot_id = page.evaluate(
                "fetch('/api/v1/me').then((answer) => answer.json()).then((me) => me.plot_id)"
            )
            n = int(page.evaluate("(plot) => bench.tenYears(plot)", plot_id))
            assert n >= 120_000, f"only {n} observations: these rows would be void"
            return measured(page, server.url, runs, n)


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


def at_now(page: Page, url: str) -> None:
    page.goto(url + "/", wait_until="domcontentloaded")
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=60_000)
    page.wait_for_timeout(2_000)
