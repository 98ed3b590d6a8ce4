"""3 of the ten nastiest: numbers and commits must have one order.

A reader with a cursor follows a plot into which phones, the scheduled job and the commands write at once, some of
them stalled between their last statement and their commit. It must get every row that was committed. With numbers
given out as a database sequence gives them, before the lock, the same reader misses rows.
"""

from __future__ import annotations

import itertools
import random
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import Connection, event, func, select, update

from tests.jobs.small_plot import NOW, QUARTER, SmallPlot, small_plot
from tests.store.sender import COUNT, Sender, delete, put
from underboard.core.sync.envelope import read_op
from underboard.core.sync.terms import Op
from underboard.store import db, people, sync_store, whole_plots
from underboard.store.database import writing
from underboard.store.forgetting import forget_deletions
from underboard.store.tables import RecordRow, SyncClock

PHONES, PUSHES, PASSES, IMPORTS = 4, 15, 12, 6
NOTE = {"observed_at": "2026-03-29T06:40:00+01:00", "text": "from an older notebook"}
Write = Callable[[], None]


@contextmanager
def stalled_commits(share: float) -> Iterator[None]:
    """Let some writers sleep 50 ms between their last statement and their commit."""
    chance = random.Random(7)

    def stall(connection: Connection) -> None:
        if connection.get_execution_options().get("writes") and chance.random() < share:
            time.sleep(0.05)

    engine = db.engine
    event.listen(engine, "commit", stall)
    try:
        yield
    finally:
        event.remove(engine, "commit", stall)


def patient() -> None:
    """Wait for the others' turns as long as a slow machine needs for all of them; a server gives up sooner."""
    engine = db.engine
    longer = ["SET lock_timeout = '200s'", "SET idle_in_transaction_session_timeout = '200s'"]
    told = ["PRAGMA busy_timeout=200000"] if engine.dialect.name == "sqlite" else longer

    def tell(connection: Any, _record: object) -> None:
        for words in told:
            connection.execute(words)
        connection.commit()

    engine.dispose()
    event.listen(engine, "connect", tell)


def phone(plot: SmallPlot) -> Write:
    """A phone that pushes counts."""
    device = people.add_device(plot.plot_id, "phone", "helper", NOW).device_id
    sender = Sender(plot.plot_id, device)

    def write() -> None:
        for _ in range(PUSHES):
            sender.push(*[put(COUNT) for _ in range(3)])

    return write


def job(plot: SmallPlot) -> Write:
    """The scheduled job: one pass a quarter, each raises a warning and ends the one before."""

    def write() -> None:
        turns = plot.turns((QUARTER,))
        for _ in range(PASSES):
            assert len(turns.run_due()) == 1
            plot.clock.turn(timedelta(minutes=15))

    return write


def commands(plot: SmallPlot) -> Write:
    """Whoever sits at the server: brings in an old notebook, forgets old deletions, lets devices in."""

    def write() -> None:
        for _ in range(IMPORTS):
            ops = [read_op(put(NOTE, type="note")) for _ in range(5)]
            whole_plots.write_ops(plot.plot_id, "import", [op for op in ops if isinstance(op, Op)], NOW)
            forget_deletions(plot.plot_id, NOW + timedelta(days=401))
            people.new_code(plot.plot_id, "helper", NOW)

    return write


class Pulls:
    """How often the reader has pulled; a writer may stall until it has pulled on."""

    def __init__(self) -> None:
        self.ended, self._turn = 0, threading.Condition()

    def one_more(self) -> None:
        with self._turn:
            self.ended += 1
            self._turn.notify_all()

    def wait_for(self, more: int, seconds: float = 10) -> None:
        with self._turn:
            until = self.ended + more
            self._turn.wait_for(lambda: self.ended >= until, seconds)


def missed(
    app: Flask, plot: SmallPlot, writers: list[Write], pulls: Pulls | None = None
) -> tuple[set[str], dict[str, int]]:
    """Let all write while a reader pulls; return what the reader never got, and what was committed, by type."""
    patient()
    done, faults = threading.Event(), []
    pulls = pulls or Pulls()
    seen: set[str] = set()

    def run(write: Write) -> None:
        with app.app_context():
            try:
                write()
            except Exception as fault:
                faults.append(fault)

    def read() -> None:
        cursor = None
        while True:
            last_turn = done.is_set()
            records, cursor = plot.phone.pull_all(cursor)
            seen.update(record["id"] for record in records)
            pulls.one_more()
            if last_turn:
                return

    reader = threading.Thread(target=run, args=(read,))
    threads = [threading.Thread(target=run, args=(write,)) for write in writers]
    for thread in (reader, *threads):
        thread.start()
    for thread in threads:
        thread.join()
    done.set()
    reader.join()
    assert not faults, faults
    with db.engine.connect() as connection:
        rows = connection.execute(select(RecordRow.id, RecordRow.type)).all()
    counts: dict[str, int] = {}
    for row in rows:
        counts[row.type] = counts.get(row.type, 0) + 1
    return {row.id for row in rows} - seen, counts


def test_a_reader_gets_every_row_past_stalled_writers_of_every_kind(database_app: Flask) -> None:
    plot = small_plot()
    old = put(COUNT)
    plot.phone.push(old)
    plot.phone.push(delete(old["id"], 1))  # something that the commands can forget meanwhile
    with stalled_commits(0.1):
        writers = [*(phone(plot) for _ in range(PHONES)), job(plot), commands(plot)]
        never, counts = missed(database_app, plot, writers)
    assert never == set()
    assert (counts["slug_count"], counts["warning"], counts["note"]) == (
        PHONES * PUSHES * 3,
        PASSES,
        IMPORTS * 5,
    )


def test_with_numbers_from_before_the_lock_the_same_reader_misses_rows(
    database_app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a database sequence (BIGSERIAL) gives them out: this must go red."""
    plot = small_plot()
    numbers, chance = itertools.count(sync_store.last_seq(plot.plot_id) + 1), random.Random(7)
    mine, pulls = threading.local(), Pulls()

    @contextmanager
    def writing_late() -> Iterator[Connection]:
        mine.first, *_ = (next(numbers) for _ in range(3))
        if chance.random() < 0.3:
            pulls.wait_for(
                3
            )  # while the others go on: however slow the machine, the reader comes past this number
        with writing() as connection:
            yield connection

    def number_before(connection: Connection, plot_id: str, count: int) -> tuple[str, int]:
        clock = update(SyncClock).where(SyncClock.plot_id == plot_id)
        highest = func.max if connection.dialect.name == "sqlite" else func.greatest
        values = clock.values(seq=highest(SyncClock.seq, mine.first + count - 1))
        return connection.execute(values.returning(SyncClock.epoch)).scalar_one(), mine.first - 1

    monkeypatch.setattr(sync_store, "writing", writing_late)
    monkeypatch.setattr(sync_store, "take_numbers", number_before)
    never, _ = missed(database_app, plot, [phone(plot) for _ in range(PHONES)], pulls)
    assert never != set()
