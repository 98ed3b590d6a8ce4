"""Rows of growth: what one plot's sync costs while others fill the same database, 1,000 to 10,000,000 records.

Databases of all sizes stand side by side and are asked by turns, so that whatever else the machine does meanwhile
falls on all of them alike. What is compared is processor time, of this process and of the database's own for it.
"""

from __future__ import annotations

import math
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from statistics import linear_regression, median, quantiles
from tempfile import TemporaryDirectory

from flask import Flask

from tests.bench.filling import fill_postgres, fill_sqlite
from tests.bench.rows_server import op
from tests.bench.table import Row, at_most, info
from tests.store.postgres import Cluster
from underboard.core.sync.envelope import PushEnvelope, read_op
from underboard.store import db, init_database, migrate_to_head, people, pulling, sync_store

COUNTS = 30
"""A dawn round of one phone."""
WHAT = ("push", "pull", "nothing new")
FAR = 100_000_000
"""Ten years of a thousand busy plots or ten thousand small ones: more than is measured here."""
LARGEST = 10_000_000
POSTGRES, SQLITE = "PostgreSQL", "SQLite"


class Place:
    """One database with so many records of others, and a plot of its own to sync."""

    def __init__(self, url: str, rows: int, kind: str) -> None:
        self.rows = rows
        migrate_to_head(url)
        began = time.perf_counter()
        file = Path(url.removeprefix("sqlite:///"))
        size = fill_postgres(url, rows) if kind == POSTGRES else fill_sqlite(file, rows)
        self.bytes_each = size / rows
        self.filled_s = time.perf_counter() - began
        self.app = Flask(f"growth {kind} {rows}")
        self.app.config["SQLALCHEMY_DATABASE_URI"] = url
        init_database(self.app)
        self._backend = 0
        with self.app.app_context():
            self.plot = people.create_plot()
            self.device = people.add_device(self.plot, "bench", "owner", datetime.now(UTC)).device_id
            self.cursor = pulling.pull(self.plot, None, 500).cursor
            if kind == POSTGRES:
                with db.engine.connect() as connection:
                    asked = connection.exec_driver_sql("SELECT pg_backend_pid()")
                    self._backend = int(asked.scalar_one())
        self.took: dict[str, list[float]] = {what: [] for what in WHAT}
        self.busy: dict[str, list[float]] = {what: [] for what in WHAT}

    def turn(self) -> None:
        """One phone's dawn: a push, its pull, and a pull of nothing; verified by count."""
        now = datetime.now(UTC)
        with self.app.app_context():
            epoch = sync_store.epoch_of(self.plot)
            ops = tuple(read_op(op(n, epoch)) for n in range(COUNTS))
            with self._timed("push"):
                answer = sync_store.push(
                    self.plot, self.device, PushEnvelope(self.plot, epoch, now, ops), now
                )
            assert [one["status"] for one in answer.results] == ["applied"] * COUNTS
            with self._timed("pull"):
                page = pulling.pull(self.plot, self.cursor, 500)
            assert len(page.texts) == COUNTS and not page.more
            with self._timed("nothing new"):
                nothing = pulling.pull(self.plot, page.cursor, 500)
            assert nothing.texts == []
            self.cursor = page.cursor

    @contextmanager
    def _timed(self, what: str) -> Iterator[None]:
        began, busy = time.perf_counter(), self._busy_s()
        yield
        self.took[what].append((time.perf_counter() - began) * 1000)
        self.busy[what].append((self._busy_s() - busy) * 1000)

    def _busy_s(self) -> float:
        """Processor seconds so far, of this process and of the one that PostgreSQL keeps for its connection."""
        if not self._backend:
            return time.process_time()
        running_ns = int(Path(f"/proc/{self._backend}/schedstat").read_text().split()[0])
        return time.process_time() + running_ns / 1e9

    def close(self) -> None:
        with self.app.app_context():
            db.engine.dispose()


def growth_rows(turns: int, largest: int) -> list[Row]:
    """Both databases, one after the other."""
    sizes = [10**power for power in range(3, 8) if 10**power <= largest]
    with ExitStack() as stack:
        cluster = Cluster()
        stack.callback(cluster.stop)
        rows = measured([(cluster.make(f"growth_{size}"), size) for size in sizes], turns, POSTGRES)
    with TemporaryDirectory() as folder:
        named = [(f"sqlite:///{folder}/{size}.sqlite3", size) for size in sizes]
        return rows + measured(named, turns, SQLITE)


def measured(named: list[tuple[str, int]], turns: int, kind: str) -> list[Row]:
    with ExitStack() as stack:
        places = []
        for url, size in named:
            places.append(Place(url, size, kind))
            stack.callback(places[-1].close)
        for turn in range(turns + 1):
            for place in places if turn % 2 else reversed(places):
                place.turn()
    for place in places:
        for kept in (*place.took.values(), *place.busy.values()):
            del kept[0]  # the first, which learns the way
    return [row for what in WHAT for row in rows_of(what, places, kind)] + disk_rows(places, kind)


def disk_rows(places: list[Place], kind: str) -> list[Row]:
    most = places[-1]
    filled = f"{most.rows:,} records of 200 bytes, indexes included; filled in {most.filled_s:.0f} s"
    each = f"disk of a record with its change and ledger entry, {kind}"
    far = f"disk of {FAR:,} records, projected, {kind}"
    return [
        info(each, most.bytes_each, "bytes", filled),
        info(far, most.bytes_each * FAR / 1e9, "GB", f"as {most.rows:,} take; the work of no index changes"),
    ]


def rows_of(what: str, places: list[Place], kind: str) -> Iterator[Row]:
    least, most = places[0], places[-1]
    busy = [median(place.busy[what]) for place in places]
    words = "; ".join(
        f"{place.rows:,}: {ms:.1f} ms, on the clock p95 {quantiles(place.took[what], n=20)[18]:.0f}"
        for place, ms in zip(places, busy, strict=True)
    )
    figure = f"{what}, {COUNTS} counts" if what != "nothing new" else "pull with nothing new"
    name = f"{figure}: {most.rows:,} records of others against {least.rows:,}, {kind}"
    yield at_most(name, busy[-1] / busy[0], "×", 1.5, words)
    # An index gets one level more for each hundredfold or so: cost goes by the logarithm, if it goes up at all.
    slope, start = linear_regression([math.log10(place.rows) for place in places], busy)
    far = start + slope * math.log10(FAR)
    against = (
        f"line through {len(places)} sizes over log10 of the records: {slope:+.2f} ms for each ten times"
    )
    yield info(f"{figure}: with {FAR:,} records of others, projected, {kind}", far, "ms", against)
