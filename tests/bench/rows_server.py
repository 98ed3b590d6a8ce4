"""Rows measured in Python: the server's push against raw SQLite, on the clock and in processor time.

On a machine that does other work meanwhile the clock says how much of it was left to us; processor time does not.
"""

from __future__ import annotations

import json
import random
import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

from flask import Flask

from tests.bench.table import Row, at_least, info

N, BATCH = 10_000, 500


def push_rows(runs: int) -> list[Row]:
    """Pushes of 500 with ledger, change log and fsync, beside raw SQLite at the same transaction size."""
    from underboard.store import init_database, migrate_to_head
    from underboard.web.collecting import look_seldom

    with TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/bench.sqlite3"
        migrate_to_head(url)
        app = Flask("bench")
        app.config["SQLALCHEMY_DATABASE_URI"] = url
        init_database(app)
        look_seldom()  # as `serve` does
        ours, raw, same, parsed = Rates(), Rates(), Rates(), Rates()
        with app.app_context():
            for turn in range(runs + 1):
                plot = one_turn(Path(folder), turn, ours, raw, parsed)
                same_rows(Path(folder), turn, plot, same)
    ours_rate, raw_rate = median(ours.clock[1:]), median(raw.clock[1:])
    return [
        at_least(
            "server push, processor time alone",
            median(ours.busy[1:]),
            "rec/s",
            "raw SQLite",
            median(raw.busy[1:]),
            0.25,
        ),
        at_least(
            "server push, 500 a batch, ledger, log, fsync", ours_rate, "rec/s", "raw SQLite", raw_rate, 0.25
        ),
        at_least("server push against the fixed target", ours_rate, "rec/s", "target", 20_000, 1),
        info(
            "raw SQLite, the same rows in the same table",
            median(same.busy[1:]),
            "rec/s",
            f"a limit in the same run, processor time; by the clock {median(same.clock[1:]):,.0f}",
        ),
        info("json.loads of the same pushes", median(parsed.clock), "rec/s", "a limit in the same run"),
    ]


class Rates:
    """Records a second of each run: by the clock, and by the processor time of this process."""

    def __init__(self) -> None:
        self.clock: list[float] = []
        self.busy: list[float] = []

    def note(self, work: Callable[[], object], n: int) -> None:
        began, busy = time.perf_counter(), time.process_time()
        work()
        self.busy.append(n / (time.process_time() - busy))
        self.clock.append(n / (time.perf_counter() - began))


def one_turn(folder: Path, turn: int, ours: Rates, raw: Rates, parsed: Rates) -> str:
    """Measure ours and raw SQLite once each, in ABBA order over the turns; return the plot that was pushed to."""
    bodies = push_bodies()
    if turn % 2:
        raw_sqlite(folder, turn, raw)
    push(bodies, ours)
    if turn % 2 == 0:
        raw_sqlite(folder, turn, raw)
    parsed.note(lambda: [json.loads(body) for body in bodies], N)
    return str(json.loads(bodies[0])["plot"])


def push_bodies() -> list[bytes]:
    """Make the pushes of one run, on a plot of its own."""
    from underboard.store import people, sync_store

    now = datetime.now(UTC)
    plot = people.create_plot()
    device = people.add_device(plot, "bench", "owner", now).device_id
    epoch = sync_store.epoch_of(plot)
    bodies = []
    for first in range(0, N, BATCH):
        ops = [op(number, epoch) for number in range(first, first + BATCH)]
        frame = {"protocol": 1, "schema": 1, "plot": plot, "epoch": epoch, "sent_at": now.isoformat()}
        bodies.append(json.dumps({**frame, "device": device, "ops": ops}).encode())
    return bodies


def op(number: int, epoch: str) -> dict[str, Any]:
    from underboard.store.people import new_id

    set_ = {
        "round_id": "0192f3a0-0000-7000-8000-000000000001",
        "station_id": f"0192f3a0-0000-7000-8000-0000000000{10 + number % 26}",
        "state": "counted",
        "count": number % 17,
        "observed_at": "2026-05-03T05:20:00+01:00",
        "observer": "Maren",
    }
    frame = {"op_id": new_id(), "kind": "put", "type": "slug_count", "id": new_id(), "base_rev": 0}
    return {**frame, "base_epoch": epoch, "set": set_}


def push(bodies: list[bytes], rates: Rates) -> None:
    """Store all pushes, verified by the plot's own count."""
    from underboard.core.sync.quick import read_quickly
    from underboard.store import pulling, sync_store

    now = datetime.now(UTC)
    plot, device = (json.loads(bodies[0])[name] for name in ("plot", "device"))

    def work() -> None:
        for body in bodies:
            envelope = read_quickly(body)
            assert envelope is not None, "went the long way"
            sync_store.push(envelope.plot_id, device, envelope, now)

    rates.note(work, N)
    assert len(pulling.records_of(plot, ("slug_count",))) == N


def raw_sqlite(folder: Path, turn: int, rates: Rates) -> None:
    """Insert the same number of rows with WAL and FULL, 500 a transaction, one index on (plot, seq)."""
    with sqlite3.connect(folder / f"raw{turn}.sqlite3", isolation_level=None) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("CREATE TABLE record(id TEXT PRIMARY KEY, plot TEXT, seq INTEGER, body TEXT)")
        connection.execute("CREATE INDEX by_seq ON record(plot, seq)")
        body = json.dumps(op(1, "epoch")["set"])
        rows = [(f"{random.getrandbits(128):032x}", "plot", seq, body) for seq in range(N)]

        def work() -> None:
            for first in range(0, N, BATCH):
                connection.execute("BEGIN IMMEDIATE")
                connection.executemany("INSERT INTO record VALUES (?, ?, ?, ?)", rows[first : first + BATCH])
                connection.execute("COMMIT")

        rates.note(work, N)
        assert connection.execute("SELECT count(*) FROM record").fetchone()[0] == N
    connection.close()


def same_rows(folder: Path, turn: int, plot: str, rates: Rates) -> None:
    """Insert what a push has stored once more, into an empty table of the same form: what SQLite alone takes for it."""
    from underboard.store import migrate_to_head
    from underboard.store.database import PRAGMAS

    path = folder / f"same{turn}.sqlite3"
    migrate_to_head(f"sqlite:///{path}")
    wanted = {
        "sync_clock": "SELECT * FROM sync_clock WHERE plot_id = ?",
        "record": "SELECT * FROM record WHERE plot_id = ? ORDER BY id",
    }
    with closing(sqlite3.connect(folder / "bench.sqlite3")) as stored:
        rows = {table: stored.execute(words, (plot,)).fetchall() for table, words in wanted.items()}
    inserts = {
        table: f"INSERT INTO {table} VALUES ({','.join('?' * len(found[0]))})"
        for table, found in rows.items()
    }
    with closing(sqlite3.connect(path, isolation_level=None)) as connection:
        for pragma in PRAGMAS:
            connection.execute(f"PRAGMA {pragma}")
        connection.executemany(inserts.pop("sync_clock"), rows["sync_clock"])

        def work() -> None:
            for first in range(0, N, BATCH):
                connection.execute("BEGIN IMMEDIATE")
                for table, words in inserts.items():
                    connection.executemany(words, rows[table][first : first + BATCH])
                connection.execute("COMMIT")

        rates.note(work, N)
        for table in inserts:
            assert connection.execute(f"SELECT count(*) FROM {table}").fetchone()[0] == N
