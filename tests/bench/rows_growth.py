"""Rows of growth: what one plot's sync costs while others fill the same PostgreSQL, 1,000 to 1,000,000 records.

Databases of all sizes stand side by side and are asked by turns, so that whatever else the machine does meanwhile
falls on all of them alike. What is compared is processor time, of this process and of the database's own for it.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from statistics import median, quantiles

import psycopg
from flask import Flask

from tests.bench.rows_server import op
from tests.bench.table import Row, at_most, info
from tests.store.postgres import Cluster
from underboard.core.sync.envelope import PushEnvelope, read_op
from underboard.store import db, init_database, migrate_to_head, people, sync_store

COUNTS = 30
"""A dawn round of one phone."""
WHAT = ("push", "pull", "nothing new")
A_PLOT = 1_200
"""Records of another plot: a year of two rounds a week on 12 boards."""

FILL = """
ALTER TABLE record DISABLE TRIGGER USER; ALTER TABLE change DISABLE TRIGGER USER;
INSERT INTO sync_clock (plot_id, epoch, seq, gc_seq)
  SELECT 'plot-' || n, 'epoch', 1000000, 0 FROM generate_series(0, %(plots)s - 1) n;
CREATE TEMP TABLE made AS
  SELECT n, gen_random_uuid()::text AS id, gen_random_uuid()::text AS op,
         'plot-' || (n %% %(plots)s) AS plot, n / %(plots)s + 1 AS seq FROM generate_series(0, %(rows)s - 1) n;
INSERT INTO record (id, plot_id, type, rev, seq, deleted, body, restored_rev, clock_suspect, open_conflicts)
  SELECT id, plot, 'slug_count', 1, seq, false, %(body)s, 0, false, 0 FROM made;
INSERT INTO change (record_id, rev, op_id, device_id, kind, set, prev, at)
  SELECT id, 1, op, 'device', 'put', %(body)s, '{}', '2026-05-03T05:20:00+01:00' FROM made;
INSERT INTO op_result (op_id, plot_id, device_id, digest, status, rev)
  SELECT op, plot, 'device', sha256(op::bytea), 'applied', 1 FROM made;
ALTER TABLE record ENABLE TRIGGER USER; ALTER TABLE change ENABLE TRIGGER USER;
"""


class Place:
    """One database with so many records of others, and a plot of its own to sync."""

    def __init__(self, cluster: Cluster, rows: int) -> None:
        self.rows = rows
        url = cluster.make(f"growth_{rows}")
        migrate_to_head(url)
        began = time.perf_counter()
        values = {"rows": rows, "plots": max(1, rows // A_PLOT), "body": json.dumps(op(1, "epoch")["set"])}
        with psycopg.ClientCursor(psycopg.connect(url, autocommit=True)) as cursor:
            cursor.execute(FILL, values)  # type: ignore[arg-type]  # several statements, whose text is ours
            cursor.execute("VACUUM ANALYZE")
            cursor.execute("SELECT pg_database_size(current_database())")
            found = cursor.fetchone()
            self.bytes_each = float(found[0]) / rows if found else 0.0
            cursor.connection.close()
        self.filled_s = time.perf_counter() - began
        self.app = Flask(f"growth {rows}")
        self.app.config["SQLALCHEMY_DATABASE_URI"] = url
        init_database(self.app)
        with self.app.app_context():
            self.plot = people.create_plot()
            self.device = people.add_device(self.plot, "bench", "owner", datetime.now(UTC)).device_id
            self.cursor = sync_store.pull(self.plot, None, 500).cursor
            with db.engine.connect() as connection:
                self._backend = int(connection.exec_driver_sql("SELECT pg_backend_pid()").scalar_one())
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
                page = sync_store.pull(self.plot, self.cursor, 500)
            assert len(page.texts) == COUNTS and not page.more
            with self._timed("nothing new"):
                nothing = sync_store.pull(self.plot, page.cursor, 500)
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
        running_ns = int(Path(f"/proc/{self._backend}/schedstat").read_text().split()[0])
        return time.process_time() + running_ns / 1e9

    def close(self) -> None:
        with self.app.app_context():
            db.engine.dispose()


def growth_rows(turns: int, largest: int = 1_000_000) -> list[Row]:
    sizes = [size for size in (1_000, 10_000, 100_000, 1_000_000, 10_000_000) if size <= largest]
    cluster = Cluster()
    with ExitStack() as stack:
        stack.callback(cluster.stop)
        places = [Place(cluster, size) for size in sizes]
        for place in places:
            stack.callback(place.close)
        for turn in range(turns + 1):
            for place in places if turn % 2 else reversed(places):
                place.turn()
        for place in places:
            for kept in (*place.took.values(), *place.busy.values()):
                del kept[0]  # the first, which learns the way
    return [row for what in WHAT for row in rows_of(what, places)] + [
        info(
            "disk of a record with its change and ledger entry, PostgreSQL",
            places[-1].bytes_each,
            "bytes",
            f"{places[-1].rows:,} records of 200 bytes, indexes included",
        )
    ]


def rows_of(what: str, places: list[Place]) -> list[Row]:
    least, most = places[0], places[-1]
    words = "; ".join(
        f"{place.rows:,}: {median(place.busy[what]):.1f} ms, on the clock p95 "
        f"{quantiles(place.took[what], n=20)[18]:.0f}"
        for place in places
    )
    ratio = median(most.busy[what]) / median(least.busy[what])
    figure = f"{what}, {COUNTS} counts" if what != "nothing new" else "pull with nothing new"
    name = f"{figure}: {most.rows:,} records of others against {least.rows:,}"
    return [at_most(name, ratio, "×", 1.5, words)]
