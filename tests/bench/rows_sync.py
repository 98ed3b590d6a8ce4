"""Rows of sync in Chromium: 10,000 records pushed and pulled, beside the peer and raw IndexedDB in the same browser."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from playwright.sync_api import Page, Playwright

from tests.bench.in_chromium import PEER_BOTH_WAYS, PEER_FILL, RAW_PUTS, page_at, peer_server
from tests.bench.rows_client import bench_page, build_bundle, served
from tests.bench.table import Row, at_least, by_turns, info
from tests.browser.server import ServerProcess

N, TRIED = 10_000, 3_000
BATCHES = (100, 500, 1000)
WAYS = ("push", "pull")


class Peer:
    """The peer in a page of its own, whose local database is filled once; its best batch size for each way."""

    def __init__(self, page: Page) -> None:
        self._page = page
        self.rates: dict[str, list[float]] = {way: [] for way in WAYS}
        self._best = dict.fromkeys(WAYS, BATCHES[-1])

    def find_best(self) -> None:
        self._page.evaluate(PEER_FILL, TRIED)
        found = {size: self._both(TRIED, dict.fromkeys(WAYS, size)) for size in BATCHES}
        self._best = {way: max(BATCHES, key=lambda size: found[size][way]) for way in WAYS}
        self._page.evaluate(PEER_FILL, N)

    def raw_puts(self) -> float:
        return float(self._page.evaluate(RAW_PUTS, N))

    def turn(self) -> None:
        for way, rate in self._both(N, self._best).items():
            self.rates[way].append(rate)

    def _both(self, n: int, batches: dict[str, int]) -> dict[str, float]:
        return dict(self._page.evaluate(PEER_BOTH_WAYS, {"n": n, **batches}))

    def middle(self, way: str) -> float:
        return median(self.rates[way])

    def words(self, way: str, where: str) -> str:
        return f"peer, {where}, batches of {self._best[way]}, {len(self.rates[way])} turns"


@contextmanager
def peer(playwright: Playwright, adapter: str) -> Iterator[Peer]:
    with peer_server(adapter) as url, page_at(playwright, url) as page:
        made = Peer(page)
        made.find_best()
        yield made


def sync_rows(playwright: Playwright, runs: int, until: float) -> list[Row]:
    """Ours, then both peers, then the other way round; verified by count and hash at both ends."""
    ours: dict[str, list[float]] = {way: [] for way in (*WAYS, "cycle")}
    raw: list[float] = []
    with TemporaryDirectory() as name, ExitStack() as stack:
        folder = Path(name)
        server = stack.enter_context(served(folder))
        bundle = build_bundle(folder)
        memory, leveldb = (stack.enter_context(peer(playwright, kind)) for kind in ("memory", "leveldb"))

        def one() -> float:
            for way, rate in zip(ours, both_ways(playwright, server, bundle), strict=True):
                ours[way].append(rate)
            return 0.0

        def other() -> float:
            raw.append(memory.raw_puts())
            memory.turn()
            leveldb.turn()
            return 0.0

        both_ways(playwright, server, bundle)  # warms up; the peers were, when their best batches were found
        memory.raw_puts()
        by_turns(runs, one, other, until, warm=True)
    middle = {way: median(rates) for way, rates in ours.items()}
    return [
        *(beside(way, middle[way], memory, "all in memory", "") for way in WAYS),
        *(beside(way, middle[way], leveldb, "LevelDB", ", peer on LevelDB") for way in WAYS),
        info(
            f"push of {N:,} records in Chromium, and what the pull behind it brings back stored",
            middle["cycle"],
            "rec/s",
            "the whole cycle; the peer's push ends with the last answer, and so does ours in the rows beside it",
        ),
        at_least("pull against raw IndexedDB puts", middle["pull"], "rec/s", "raw puts", median(raw), 0.8),
    ]


def beside(way: str, rate: float, other: Peer, where: str, name: str) -> Row:
    figure = f"{way} of {N:,} records in Chromium{name}"
    return at_least(figure, rate, "rec/s", other.words(way, where), other.middle(way), 5)


def both_ways(playwright: Playwright, server: ServerProcess, bundle: Path) -> tuple[float, float, float]:
    """Push from one fresh phone and pull to another, on a plot of their own; last, the push with the cycle's end."""
    code = server.run("pair", "--new-plot", "--show-code")["code"]
    with bench_page(playwright, server, bundle) as page:
        page.evaluate("(code) => bench.pair(code)", code)
        push, cycle = page.evaluate("(n) => bench.push(n)", N)
        plot_id = page.evaluate(
            "fetch('/api/v1/me').then((answer) => answer.json()).then((me) => me.plot_id)"
        )
        sent = dict(page.evaluate("() => bench.state()"))
    stored = [
        (one["id"], one["body"]["count"])
        for one in server.records(plot_id, server.bearer(plot_id))
        if one["type"] == "slug_count"
    ]
    text = "".join(f"{id_}:{count}\n" for id_, count in sorted(stored))
    there = {"count": N, "conflicts": 0, "hash": hashlib.sha256(text.encode()).hexdigest()}
    with bench_page(playwright, server, bundle) as page:
        pull = float(page.evaluate("([code, n]) => bench.pull(code, n)", [server.code_for(plot_id), N]))
        pulled = dict(page.evaluate("() => bench.state()"))
    assert sent == there == pulled, f"{sent} sent, {there} stored, {pulled} pulled: this row would be void"
    return float(push), pull, float(cycle)
