"""Rows of the screens with ten years of one plot on the phone: opened from Now, and started cold with no network."""

from __future__ import annotations

from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from playwright.sync_api import Page, Playwright, expect

from tests.bench import rows_findings
from tests.bench.rows_client import PAGE, build_bundle, cold_starts, open_a_round, served, tap_row
from tests.bench.table import Row, at_most, info
from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess

# Findings has a limit of its own (rows_findings.py); forms that are the same with any number of records are left out.
PATHS = (
    "/",
    "/plot",
    "/diary",
    "/sync",
    "/traps",
    "/readings",
    "/evening",
    "/warnings",
    "/photos",
    "/trials",
)
# From the going there to the second frame after the screen has its records: `aria-busy` is gone and its heading there.
# Where it is already nothing would change, and this would wait for ever.
OPENED = """(path) => new Promise((done, fail) => {
  if (location.pathname === path) return fail(new Error(`already at ${path}: nothing would be opened`));
  const began = performance.now();
  const there = () => {
    const page = document.querySelector('main .page');
    if (path === '/' && !document.querySelector('.now .card')) return false;
    return location.pathname === path && page?.ariaBusy !== 'true' && page?.querySelector('h1');
  };
  const watch = new MutationObserver(() => {
    if (!there()) return;
    watch.disconnect();
    requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - began)));
  });
  watch.observe(document.body, { childList: true, subtree: true, attributes: true });
  history.pushState(null, '', path);
  dispatchEvent(new PopStateEvent('popstate'));
})"""
# Nothing that the last screen began is still going on: the page has had nothing to do for a while, or for 2 s never.
AT_REST = """() => new Promise((done) => {
  let idle = 0;
  const began = performance.now();
  const look = (left) => {
    idle = left.didTimeout || left.timeRemaining() < 5 ? 0 : idle + 1;
    if (idle >= 4 || performance.now() - began > 2000) return done();
    setTimeout(() => requestIdleCallback(look, { timeout: 1000 }), 40);
  };
  requestIdleCallback(look, { timeout: 1000 });
})"""
# What Now is for: the card of the dawn round, whichever it is.
ROUND_CARD = ".now .card"


def ten_year_rows(playwright: Playwright, runs: int) -> list[Row]:
    """Every screen, Findings, and the start without network to a countable board, with 120,000 observations.

    One phone for all of them: to fill it takes longer than to measure.
    """
    with TemporaryDirectory() as folder, served(Path(folder)) as server:
        phone, plot_id, n, taps = ten_year_phone(playwright, Path(folder), server)
        rows = [taps, *opened_rows(phone.page, server.url, runs, n)]
        rows += rows_findings.findings_rows(phone.page, server, plot_id, runs, n)
        address = round_of(phone)
        phone.close()
        server.stop()
        return [*rows, *cold_starts(phone, address, runs, f"{n:,} observations")]


def ten_year_phone(
    playwright: Playwright, folder: Path, server: ServerProcess
) -> tuple[Phone, str, int, Row]:
    """A paired phone that has ten years of its plot and its shell; with its plot, how many observations, its taps."""
    bundle = build_bundle(folder)
    code = server.run("pair", "--new-plot", "--show-code")["code"]
    phone = Phone(playwright, folder / "phone", server.url)
    page = phone.page
    page.set_default_timeout(300_000)
    page.route("**/bench.html", lambda route: route.fulfill(body=PAGE, content_type="text/html"))
    page.route("**/bench.js", lambda route: route.fulfill(path=bundle, content_type="text/javascript"))
    page.goto(server.url + "/bench.html")
    until(page, "globalThis.bench !== undefined")
    page.evaluate("(code) => bench.pair(code)", code)
    plot_id = page.evaluate("fetch('/api/v1/me').then((answer) => answer.json()).then((me) => me.plot_id)")
    n = int(page.evaluate("(plot) => bench.tenYears(plot)", plot_id))
    assert n >= 120_000, f"only {n} observations: these rows would be void"
    taps = tap_row(page, f"{n:,} observations")
    page.unroute_all()
    phone.go("/")
    expect(page.locator(ROUND_CARD).first).to_be_visible(timeout=60_000)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    until(page, "caches.keys().then((names) => names.length > 0)", timeout=60_000)
    return phone, plot_id, n, taps


def opened_rows(page: Page, url: str, runs: int, n: int) -> list[Row]:
    page.goto(url + "/", wait_until="domcontentloaded")
    expect(page.locator(ROUND_CARD).first).to_be_visible(timeout=60_000)
    page.wait_for_timeout(3_000)
    took: dict[str, float] = {}
    for path in PATHS:
        times = []
        for _ in range(runs + 1):
            leave(page, path)
            times.append(float(page.evaluate(OPENED, path)))
            page.evaluate(AT_REST)
        took[path] = median(times[1:])  # the first fetches its code
    slowest = max(took, key=lambda path: took[path])
    rows = [
        info(f"ten years: {path} opened", value, "ms", f"{n:,} observations") for path, value in took.items()
    ]
    words = f"{slowest} of {len(took)} screens, {n:,} observations"
    return [
        at_most("ten years: the slowest screen but Findings, opened", took[slowest], "ms", 300, words),
        *rows,
    ]


def leave(page: Page, path: str) -> None:
    """Be on another screen than `path`, and at rest."""
    other = "/paper" if path == "/" else "/"
    if page.evaluate("location.pathname") != other:
        page.evaluate(OPENED, other)
    page.evaluate(AT_REST)


def round_of(phone: Phone) -> str:
    phone.go("/")
    return open_a_round(phone)
