"""Rows measured in Python: the server's push against raw SQLite."""

from __future__ import annotations

import json
import random
import sqlite3
import time
from collections.abc import Callable
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

    with TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/bench.sqlite3"
        migrate_to_head(url)
        app = Flask("bench")
        app.config["SQLALCHEMY_DATABASE_URI"] = url
        init_database(app)
        ours, raw, parsed = [], [], []
        with app.app_context():
            for turn in range(runs + 1):
                one_turn(Path(folder), turn, ours, raw, parsed)
    ours_rate, raw_rate = median(ours[1:]), median(raw[1:])
    return [
        at_least(
            "server push, 500 a batch, ledger, log, fsync", ours_rate, "rec/s", "raw SQLite", raw_rate, 0.25
        ),
        at_least("server push against the fixed target", ours_rate, "rec/s", "target", 20_000, 1),
        info("json.loads of the same pushes", median(parsed), "rec/s", "a limit in the same run"),
    ]


def one_turn(folder: Path, turn: int, ours: list[float], raw: list[float], parsed: list[float]) -> None:
    """Measure ours and raw SQLite once each, in ABBA order over the turns."""
    bodies = push_bodies()
    if turn % 2:
        raw.append(raw_sqlite(folder, turn))
    ours.append(push(bodies))
    if turn % 2 == 0:
        raw.append(raw_sqlite(folder, turn))
    parsed.append(rate(lambda: [json.loads(body) for body in bodies], N))


def push_bodies() -> list[bytes]:
    """Make the pushes of one run, on a plot of its own."""
    from underboard.store import people, sync_store

    now = datetime.now(UTC)
    plot = people.create_plot()
    device = people.add_device(plot, "bench", "owner", now).device_id
    epoch = sync_store.epoch_of(plot)
    bodies = []
    for first in range(0, N, BATCH):
        ops = [_op(number, epoch) for number in range(first, first + BATCH)]
        frame = {"protocol": 1, "schema": 1, "plot": plot, "epoch": epoch, "sent_at": now.isoformat()}
        bodies.append(json.dumps({**frame, "device": device, "ops": ops}).encode())
    return bodies


def _op(number: int, epoch: str) -> dict[str, Any]:
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


def push(bodies: list[bytes]) -> float:
    """Store all pushes; return records a second, verified by the plot's own count."""
    from underboard.core.sync.envelope import read_push
    from underboard.store import sync_store

    now = datetime.now(UTC)

    def work() -> None:
        for body in bodies:
            raw = json.loads(body)
            sync_store.push(raw["plot"], raw["device"], read_push(raw), now)

    found = rate(work, N)
    plot = json.loads(bodies[0])["plot"]
    assert len(sync_store.records_of(plot, ("slug_count",))) == N
    return found


def raw_sqlite(folder: Path, turn: int) -> float:
    """Insert the same number of rows with WAL and FULL, 500 a transaction, one index on (plot, seq)."""
    with sqlite3.connect(folder / f"raw{turn}.sqlite3", isolation_level=None) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("PRAGMA synchronous=FULL")
        connection.execute("CREATE TABLE record(id TEXT PRIMARY KEY, plot TEXT, seq INTEGER, body TEXT)")
        connection.execute("CREATE INDEX by_seq ON record(plot, seq)")
        body = json.dumps(_op(1, "epoch")["set"])
        rows = [(f"{random.getrandbits(128):032x}", "plot", seq, body) for seq in range(N)]

        def work() -> None:
            for first in range(0, N, BATCH):
                connection.execute("BEGIN IMMEDIATE")
                connection.executemany("INSERT INTO record VALUES (?, ?, ?, ?)", rows[first : first + BATCH])
                connection.execute("COMMIT")

        found = rate(work, N)
        assert connection.execute("SELECT count(*) FROM record").fetchone()[0] == N
    connection.close()
    return found


def rate(work: Callable[[], object], n: int) -> float:
    began = time.perf_counter()
    work()
    return n / (time.perf_counter() - began)
