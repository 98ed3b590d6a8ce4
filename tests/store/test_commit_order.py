"""Numbers and commits in one order: a reader with a cursor never misses a row, however writers stall."""

from __future__ import annotations

import itertools
import random
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from flask import Flask
from sqlalchemy import Connection, event, func, insert, select, update
from sqlalchemy.exc import DBAPIError

from tests.store.sender import COUNT, NOW, Sender, new_plot, put
from underboard.core.sync.envelope import read_op
from underboard.core.sync.terms import Op
from underboard.store import db, sync_store
from underboard.store.database import writing
from underboard.store.people import new_id
from underboard.store.tables import RecordRow, SyncClock

WRITERS, PUSHES = 4, 25


@contextmanager
def stalled_commits(app: Flask, share: float) -> Iterator[None]:
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


def warn(plot_id: str) -> None:
    """A write of the server itself, as its scheduled job makes them."""
    said = {"rule": "frost", "raised_at": "2026-03-29T20:00:00+01:00", "headline": "Frost tonight"}
    op = read_op(put(said, type="warning"))
    assert isinstance(op, Op)
    sync_store.server_write(plot_id, "server", [op], NOW)


def missed(app: Flask, phones: list[Sender]) -> set[str]:
    """Let phones and the server write while a reader pulls; return what the reader never got."""
    done, faults = threading.Event(), []
    seen: set[str] = set()

    def write(phone: Sender) -> None:
        with app.app_context():
            try:
                for _ in range(PUSHES):
                    phone.push(*[put(COUNT) for _ in range(3)])
                    warn(phone.plot_id)
            except Exception as fault:
                faults.append(fault)

    def read() -> None:
        cursor = None
        with app.app_context():
            while True:
                last_turn = done.is_set()
                records, cursor = phones[0].pull_all(cursor)
                seen.update(record["id"] for record in records)
                if last_turn:
                    return

    writers = [threading.Thread(target=write, args=(phone,)) for phone in phones]
    reader = threading.Thread(target=read)
    for thread in (reader, *writers):
        thread.start()
    for thread in writers:
        thread.join()
    done.set()
    reader.join()
    assert not faults, faults
    with db.engine.connect() as connection:
        committed = set(connection.scalars(select(RecordRow.id)))
    assert len(committed) == WRITERS * PUSHES * 4
    return committed - seen


def test_a_reader_gets_every_row_past_stalled_writers(database_app: Flask) -> None:
    phones = new_plot(*"ABCD")
    with stalled_commits(database_app, 0.1):
        assert missed(database_app, phones) == set()


def test_without_the_lock_on_the_counter_the_same_reader_misses_rows(
    database_app: Flask, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Numbers taken before the transaction, as a database sequence gives them out: this must go red."""
    phones = new_plot(*"ABCD")
    numbers, chance = itertools.count(1), random.Random(7)
    mine = threading.local()

    @contextmanager
    def writing_late() -> Iterator[Connection]:
        mine.first, *_ = (next(numbers) for _ in range(3))
        if chance.random() < 0.3:
            time.sleep(0.05)
        with writing() as connection:
            yield connection

    def number_before(connection: Connection, plot_id: str, count: int) -> tuple[str, int]:
        clock = update(SyncClock).where(SyncClock.plot_id == plot_id)
        highest = func.max if connection.dialect.name == "sqlite" else func.greatest
        values = clock.values(seq=highest(SyncClock.seq, mine.first + count - 1))
        return connection.execute(values.returning(SyncClock.epoch)).scalar_one(), mine.first - 1

    monkeypatch.setattr(sync_store, "writing", writing_late)
    monkeypatch.setattr(sync_store, "take_numbers", number_before)
    assert missed(database_app, phones) != set()


def test_the_database_refuses_a_number_beyond_the_counter(database_app: Flask) -> None:
    (phone,) = new_plot("A")
    row = {
        "id": new_id(), "plot_id": phone.plot_id, "type": "note", "rev": 1, "seq": 1, "deleted": False,
        "body": "{}", "restored_rev": 0, "clock_suspect": False, "open_conflicts": 0,
    }  # fmt: skip
    with pytest.raises(DBAPIError, match="counter"), writing() as connection:
        connection.execute(insert(RecordRow), [row])


def test_the_database_refuses_a_number_that_goes_back(database_app: Flask) -> None:
    (phone,) = new_plot("A")
    phone.push(put(COUNT), put(COUNT))
    with pytest.raises(DBAPIError, match="goes back"), writing() as connection:
        sync_store.take_numbers(connection, phone.plot_id, 1)
        connection.execute(update(RecordRow).where(RecordRow.seq == 2).values(seq=0))


def test_postgresql_refuses_a_number_without_the_lock_on_the_counter(database_app: Flask) -> None:
    """On SQLite a writing transaction is alone anyway."""
    (phone,) = new_plot("A")
    phone.push(put(COUNT))
    with writing() as connection:
        sync_store.take_numbers(connection, phone.plot_id, 1)
    if db.engine.dialect.name == "sqlite":
        with writing(), pytest.raises(DBAPIError, match="locked"), db.engine.connect() as other:
            other.exec_driver_sql("PRAGMA busy_timeout=50")
            other.exec_driver_sql("UPDATE sync_clock SET seq = seq + 1")
        return
    with pytest.raises(DBAPIError, match="counter"), writing() as connection:
        connection.execute(update(RecordRow).values(seq=2))


def test_the_change_log_cannot_be_rewritten(database_app: Flask) -> None:
    (phone,) = new_plot("A")
    phone.push(put(COUNT))
    with pytest.raises(DBAPIError, match="only appended"), writing() as connection:
        connection.exec_driver_sql("""UPDATE change SET "set" = '{}'""")
