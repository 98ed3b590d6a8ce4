"""Rows of small syncs on a plot of many records, ours beside the peer in the same Chromium, over loopback and wifi.

Nothing new; one change in 10,000; 500 edits of which 50 meet another person's; a first sync after 1,000 deletions.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from playwright.sync_api import Page, Playwright

from tests.bench.in_chromium import page_at, peer_server
from tests.bench.rows_client import bench_page, build_bundle, served
from tests.bench.table import Row, by_turns, info
from tests.browser.server import ServerProcess


@dataclass(frozen=True)
class Sizes:
    """How many records, and how many of them are edited, edited by two at once, deleted."""

    n: int = 10_000
    edits: int = 500
    clashes: int = 50
    deletions: int = 1_000


SMALL = Sizes(2_000, 100, 10, 200)
WIFI = {"offline": False, "latency": 40, "downloadThroughput": 5e6 / 8, "uploadThroughput": 5e6 / 8}
LOOPBACK = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
NETWORKS = {"": LOOPBACK, ", 40 ms and 5 Mbit/s": WIFI}
PEER_SCENES = (Path(__file__).parent / "peer_scenes.js").read_text("utf-8")


class Ours:
    """Two phones of one plot, and new ones as they are needed."""

    def __init__(self, playwright: Playwright, folder: Path, stack: ExitStack, sizes: Sizes) -> None:
        self.sizes = sizes
        self.turns = self.clashes = self.edited = 0
        self._playwright = playwright
        self._server: ServerProcess = stack.enter_context(served(folder))
        self._bundle = build_bundle(folder)
        code = self._server.run("pair", "--new-plot", "--show-code")["code"]
        self.a = stack.enter_context(bench_page(playwright, self._server, self._bundle))
        self.a.evaluate("(code) => bench.pair(code)", code)
        self.a.evaluate("(n) => bench.push(n)", sizes.n)
        me = "fetch('/api/v1/me').then((answer) => answer.json()).then((me) => me.plot_id)"
        self._plot = str(self.a.evaluate(me))
        self.b = stack.enter_context(bench_page(playwright, self._server, self._bundle))
        self.b.evaluate("([code, n]) => bench.pull(code, n)", [self._server.code_for(self._plot), sizes.n])
        self._bearer = self._server.bearer(self._plot)
        self._remote: dict[str, Any] | None = None

    def sync(self, which: str) -> float:
        self._remote = None
        return float(self._page(which).evaluate("() => bench.sync()"))

    def edit(self, which: str, first: int, n: int, count: int) -> None:
        self._page(which).evaluate("([from, n, count]) => bench.edit(from, n, count)", [first, n, count])

    def remove(self, first: int, n: int) -> None:
        self.a.evaluate("([from, n]) => bench.remove(from, n)", [first, n])

    def state(self, which: str) -> dict[str, Any]:
        return dict(self._page(which).evaluate("() => bench.state()"))

    def remote(self) -> dict[str, Any]:
        """What the server holds, in the words of `state`; asked anew once somebody has synced."""
        if self._remote is None:
            self._remote = self._ask()
        return self._remote

    def _ask(self) -> dict[str, Any]:
        living = [one for one in self._server.records(self._plot, self._bearer) if not one["deleted"]]
        rows = sorted((one["id"], one["body"]["count"]) for one in living if one["type"] == "slug_count")
        text = "".join(f"{id_}:{count}\n" for id_, count in rows)
        clashes = sum(1 for one in living if one["conflicts"])
        return {
            "count": len(rows),
            "conflicts": clashes,
            "hash": hashlib.sha256(text.encode()).hexdigest(),
        }

    def fresh(self, network: dict[str, Any]) -> float:
        code, n = self._server.code_for(self._plot), self.sizes.n - self.sizes.deletions
        with bench_page(self._playwright, self._server, self._bundle) as page:
            emulate(page, network)
            rate = float(page.evaluate("([code, n]) => bench.pull(code, n)", [code, n]))
            check(dict(page.evaluate("() => bench.state()")), self.remote())
        return n / rate * 1000

    def network(self, network: dict[str, Any]) -> None:
        emulate(self.a, network)

    def _page(self, which: str) -> Page:
        return self.a if which == "a" else self.b


class Peer:
    """The same with the peer, whose two phones share a page."""

    def __init__(self, playwright: Playwright, stack: ExitStack, sizes: Sizes) -> None:
        self.sizes = sizes
        self.turns = self.clashes = self.edited = 0
        self._page = stack.enter_context(page_at(playwright, stack.enter_context(peer_server())))
        self._page.evaluate(PEER_SCENES)
        self._page.evaluate("(n) => peerScenes.begin(n)", sizes.n)
        self._remote: dict[str, Any] | None = None

    def sync(self, which: str) -> float:
        self._remote = None
        return float(self._page.evaluate("(which) => peerScenes.sync(which)", which))

    def edit(self, which: str, first: int, n: int, count: int) -> None:
        self._page.evaluate("(said) => peerScenes.edit(...said)", [which, first, n, count])

    def remove(self, first: int, n: int) -> None:
        self._page.evaluate("(said) => peerScenes.remove(...said)", ["a", first, n])

    def state(self, which: str) -> dict[str, Any]:
        return dict(self._page.evaluate("(which) => peerScenes.state(which)", which))

    def remote(self) -> dict[str, Any]:
        if self._remote is None:
            self._remote = self.state("remote")
        return self._remote

    def fresh(self, network: dict[str, Any]) -> float:
        self.network(network)
        found = dict(self._page.evaluate("() => peerScenes.fresh()"))
        took = float(found.pop("took"))
        check(found, self.remote())
        return took

    def network(self, network: dict[str, Any]) -> None:
        emulate(self._page, network)


Side = Ours | Peer


def scene_rows(playwright: Playwright, runs: int, sizes: Sizes, until: float) -> list[Row]:
    """Both stores are built once and go through all scenes; past `until` a median is made of three turns."""
    with TemporaryDirectory() as folder, ExitStack() as stack:
        ours = Ours(playwright, Path(folder), stack, sizes)
        peer = Peer(playwright, stack, sizes)
        for side in (ours, peer):
            for which in "abab":  # until nobody has anything new
                side.sync(which)
        rows = [row for where in NETWORKS for row in small_syncs(where, runs, ours, peer, until)]
        for side in (ours, peer):
            side.network(NETWORKS[""])
            side.sync("b")
            side.remove(sizes.n - sizes.deletions, sizes.deletions)
            side.sync("a")
            assert side.remote()["count"] == sizes.n - sizes.deletions
        for where, network in NETWORKS.items():
            figure = f"first sync after {sizes.deletions:,} deletions of {sizes.n:,}{where}"
            rows.append(
                beside(figure, runs, lambda side, net=network: side.fresh(net), ours, peer, until, True)
            )
        return [
            *rows,
            info("what 5 Mbit/s allow", 5e6 / 8 / 63, "rec/s", "63 bytes a record, packed: a limit"),
        ]


def small_syncs(where: str, runs: int, ours: Ours, peer: Peer, until: float) -> list[Row]:
    sizes = ours.sizes
    for side in (ours, peer):
        side.network(NETWORKS[where])
    edits = f"sync of {sizes.edits} edits, {sizes.clashes} of them in conflict{where}"
    return [
        beside(f"sync with nothing new{where}", runs, nothing_new, ours, peer, until),
        beside(f"sync of one change in {sizes.n:,}{where}", runs, Changes(1, 0), ours, peer, until),
        beside(edits, runs, Changes(sizes.edits, sizes.clashes), ours, peer, until),
    ]


def beside(
    figure: str,
    runs: int,
    scene: Callable[[Any], float],
    ours: Ours,
    peer: Peer,
    until: float,
    warm: bool = False,
) -> Row:
    """A row in milliseconds; its ratio says how many times as fast as the peer."""
    mine, other = by_turns(runs, lambda: scene(ours), lambda: scene(peer), until, warm)
    for side in (ours, peer):
        check(side.state("a"), side.remote())
        assert side.state("a")["conflicts"] == side.clashes, "conflicts were lost: this row would be void"
    times = other / mine
    verdict = "holds" if times >= 1 else "short"
    return Row(figure, mine, "ms", f"peer: {other:,.0f} ms", times, "at least 1 ×", verdict)


def nothing_new(side: Side) -> float:
    return side.sync("a")


class Changes:
    """Some edits on phone a, of which the first `clashes` meet edits of the same records on phone b."""

    def __init__(self, edits: int, clashes: int) -> None:
        self._edits, self._clashes = edits, clashes

    def __call__(self, side: Side) -> float:
        """Each time other records, so that every clash is a new one, and counts that nobody had."""
        side.turns += 1
        sizes = side.sizes
        first, count = side.edited, 20 + 2 * side.turns
        side.edited += self._edits
        assert side.edited <= sizes.n - sizes.deletions
        side.sync("b")
        if self._clashes:
            side.edit("b", first, self._clashes, count + 1)
            side.sync("b")
        side.edit("a", first, self._edits, count)
        side.clashes += self._clashes
        return side.sync("a")


def check(here: dict[str, Any], there: dict[str, Any]) -> None:
    """Count and hash of both ends are the same, or the row is void."""
    assert here["count"] == there["count"] and here["hash"] == there["hash"], (
        f"{here} here, {there} there: this row would be void"
    )


def emulate(page: Page, network: dict[str, Any]) -> None:
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    session.send("Network.emulateNetworkConditions", network)
