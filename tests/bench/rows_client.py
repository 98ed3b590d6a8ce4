"""Rows measured in Chromium: taps, cold start, the shell's size; and the page that other rows run in."""

from __future__ import annotations

import gzip
import re
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import median, quantiles
from tempfile import TemporaryDirectory

from playwright.sync_api import CDPSession, Page, Playwright, expect

from tests.bench.in_chromium import page_at
from tests.bench.table import Row, at_most, info
from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import new_plot

ROOT = Path(__file__).parents[2]
CLIENT = ROOT / "server/underboard/web/client"
SLOWER = 4
PAGE = "<!doctype html><title>bench</title><script type='module' src='/bench.js'></script>"


def tap_rows(playwright: Playwright) -> list[Row]:
    with TemporaryDirectory() as folder, served(Path(folder)) as server:
        bundle = build_bundle(Path(folder))
        with bench_page(playwright, server, bundle) as page:
            return [tap_row(page, "an empty store")]


def tap_row(page: Page, of: str) -> Row:
    """From a tap to the strict commit, with the processor slowed down four times; the page holds the bundle."""
    slowed = slow_down(page)
    page.evaluate("(n) => bench.taps(n)", 20)
    took = page.evaluate("(n) => bench.taps(n)", 200)
    slowed.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    slowed.detach()
    words = f"{of}, 200 taps, median {median(took):.1f} ms"
    return at_most(f"tap to durable at 4x slow-down, p95, {of}", quantiles(took, n=20)[18], "ms", 50, words)


# The board may be in the document before the browser has noted that it drew it.
FIRST_PICTURE = """new Promise((done) => new PerformanceObserver((list) => {
  const drawn = list.getEntriesByName('first-contentful-paint')[0];
  if (drawn) done(drawn.startTime);
}).observe({ type: 'paint', buffered: true }))"""


# Put into the page before anything of ours: notes when the key that counts was there and the frame with it was drawn.
# Asked from outside by the name that a listener hears, the slowed-down page spends a third of a second on the asking.
COUNTABLE = """new MutationObserver((_, watch) => {
  if (!document.querySelector('button[data-key="+"]:enabled')) return;
  watch.disconnect();
  requestAnimationFrame(() => requestAnimationFrame(() => {
    globalThis.countableAt = performance.timeOrigin + performance.now();
  }));
}).observe(document, { childList: true, subtree: true })"""


def start_rows(playwright: Playwright, runs: int) -> list[Row]:
    """From opening the page offline, browser just started, to a board that can be counted: two stores."""
    with TemporaryDirectory() as folder, served(Path(folder)) as server:
        plots = {"a new plot of two boards": new_plot(server), "demo plot": server.run("demo")["plot_id"]}
        ready = []
        for of, plot_id in plots.items():
            phone = Phone(playwright, Path(folder) / plot_id, server.url)
            phone.page.set_default_timeout(60_000)
            phone.go(f"/#pair={server.code_for(plot_id)}")
            join(phone)
            address = open_a_round(phone)
            phone.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
            until(phone.page, "caches.keys().then((names) => names.length > 0)", timeout=60_000)
            phone.close()
            ready.append((phone, address, of))
        server.stop()
        return [row for phone, address, of in ready for row in cold_starts(phone, address, runs, of)]


def cold_starts(phone: Phone, address: str, runs: int, of: str) -> list[Row]:
    took, drawn = [], []
    for _ in range(runs):
        page = phone.open(offline=True)
        page.add_init_script(COUNTABLE)
        slow_down(page)
        began = time.time()  # the page's clock and ours are one machine's
        phone.go(address)
        took.append(float(until(page, "globalThis.countableAt")) - began * 1000)
        drawn.append(float(page.evaluate(FIRST_PICTURE)))
        expect(page.get_by_role("button", name="One more slug")).to_be_visible()
        phone.close()
    spread = f"{of}, {min(took):.0f} to {max(took):.0f} ms in {runs} starts"
    # The row above also holds starting the page's process. This one is the page's own clock: its first picture is the
    # board.
    within = f"{of}, {min(drawn):.0f} to {max(drawn):.0f} ms"
    figure = "cold start offline to a countable board at 4x slow-down"
    return [
        at_most(f"{figure}, {of}", median(took), "ms", 1000, spread),
        info(f"of it until the first picture, by the page's own clock, {of}", median(drawn), "ms", within),
    ]


def join(phone: Phone) -> None:
    page = phone.page
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click()
    page.get_by_label("Your name").fill("Maren")
    page.get_by_role("button", name="Next").click()


def open_a_round(phone: Phone) -> str:
    """Begin today's round from Now, or go on with it; return its path."""
    page = phone.page
    begin = page.get_by_role("button", name="Start the dawn round")
    begin.or_(page.get_by_role("link", name="Go on with the round")).first.click()
    page.wait_for_url("**/round/**")
    return "/round/" + page.url.rsplit("/", 1)[-1]


def shell_rows() -> list[Row]:
    """Bytes on the wire, gzip -9, of what draws the frame and a round: the page, its scripts and its styles."""
    size, charts = shell_bytes(CLIENT), shell_bytes(CLIENT, "canvas_plot-*")
    return [
        at_most("app shell on the wire, gzip", size / 1000, "kB", 60, f"{size:,} bytes"),
        at_most("app shell with what draws charts, gzip", charts / 1000, "kB", 90, f"{charts:,} bytes"),
    ]


def shell_bytes(client: Path, *besides: str) -> int:
    """Follow what index.html (and assets `besides`) name and import; other screens are fetched when opened."""
    html = (client / "index.html").read_bytes()
    assets = client / "assets"
    waiting = re.findall(rb'assets/([\w.-]+\.(?:js|css))"', html)
    for form in besides:
        found = [path.name.encode() for path in assets.glob(form)]
        assert found, f"no {form} in {assets}: this row would be void"
        waiting += found
    names: set[str] = set()
    while waiting:
        name = waiting.pop().decode()
        if name in names:
            continue
        names.add(name)
        if name.endswith(".js"):
            waiting += re.findall(
                rb'(?:from|import)\s*["\']\./([\w.-]+\.js)["\']', (assets / name).read_bytes()
            )
    return sum(
        len(gzip.compress(part, 9))
        for part in [html, *((assets / name).read_bytes() for name in sorted(names))]
    )


@contextmanager
def served(folder: Path) -> Iterator[ServerProcess]:
    data = folder / "data"
    data.mkdir()
    server = ServerProcess(data).start()
    try:
        yield server
    finally:
        server.stop()


def build_bundle(folder: Path) -> Path:
    subprocess.run(
        ["node", str(Path(__file__).parent / "bundle.mjs"), str(folder)], cwd=ROOT / "pwa", check=True
    )
    return folder / "bench.js"


@contextmanager
def bench_page(playwright: Playwright, server: ServerProcess, bundle: Path) -> Iterator[Page]:
    """A page of ours at the server's own address, so that cookies and origin are the real ones."""
    with page_at(playwright, server.url + "/healthz") as page:
        page.route("**/bench.html", lambda route: route.fulfill(body=PAGE, content_type="text/html"))
        page.route("**/bench.js", lambda route: route.fulfill(path=bundle, content_type="text/javascript"))
        page.goto(server.url + "/bench.html")
        until(page, "globalThis.bench !== undefined")
        page.unroute_all()  # or every request of the sync would be held up on its way to be looked at
        yield page


def slow_down(page: Page) -> CDPSession:
    """Return what has to be asked, and then detached, to have it as fast as before."""
    session = page.context.new_cdp_session(page)
    session.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    return session
