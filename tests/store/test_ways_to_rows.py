"""How the databases look for rows: by an index, in every statement of push and pull, on each of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from sqlalchemy import event, text

from tests.store.sender import COUNT, NOW, delete, new_plot, put
from underboard.store import db
from underboard.store.database import writing
from underboard.store.forgetting import forget_deletions
from underboard.store.history import history, removed
from underboard.store.people import new_id
from underboard.store.server_records import Write, lock_plot, write_records

pytestmark = pytest.mark.usefixtures("database_app")

WET = {"text": "wet", "observed_at": "2026-03-29T06:40:00+01:00"}
OURS = ("record", "change_apart", "conflict", "op_result_apart", "device", "sync_clock", "blob_name")


def test_no_statement_of_a_sync_reads_a_whole_table() -> None:
    a, b = new_plot("A", "B")
    born = [put(COUNT) for _ in range(3)]
    a.push(*born)
    b.pull_all()
    with heard() as said:
        a.push(put({"count": 9}, born[0]["id"], 1), delete(born[1]["id"], 1))
        b.push(put({"count": 5}, born[0]["id"], 1), put({"note": "wet"}, born[2]["id"], 1))
        b.pull_all()
        history(a.plot_id, born[0]["id"], 3, 10)
        removed(a.plot_id, None, 10)
        forget_deletions(a.plot_id, NOW)
        with writing() as connection:
            lock_plot(connection, a.plot_id)
            write_records(connection, a.plot_id, [Write(new_id(), "note", new_id(), WET)], NOW)
    assert len(said) > 10
    for statement, values in said:
        assert not list(whole_tables(statement, values)), statement


@contextmanager
def heard() -> Iterator[list[tuple[str, Any]]]:
    """Every question and change that goes to the database meanwhile, with its values.

    SQLite's driver is asked itself, which writes the values into the statement: not all of them pass SQLAlchemy.
    """
    said: list[tuple[str, Any]] = []
    asked: list[sqlite3.Connection] = []

    def keep(statement: str, values: Any = ()) -> None:
        if statement.startswith(("SELECT", "UPDATE", "DELETE")):
            said.append((statement, values))

    def trace(driver: sqlite3.Connection, _record: Any, _proxy: Any) -> None:
        driver.set_trace_callback(keep)
        asked.append(driver)

    def note(_connection: Any, _cursor: Any, statement: str, values: Any, _context: Any, many: bool) -> None:
        keep(statement, values[0] if many else values)

    what, hear = (
        ("checkout", trace) if db.engine.dialect.name == "sqlite" else ("before_cursor_execute", note)
    )
    event.listen(db.engine, what, hear)
    yield said
    event.remove(db.engine, what, hear)
    for driver in asked:
        driver.set_trace_callback(None)


def whole_tables(statement: str, values: Any) -> Iterator[str]:
    """Steps of the database's own plan that go through all rows of one of our tables."""
    with db.engine.connect() as connection:
        if db.engine.dialect.name == "sqlite":
            steps = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {statement}", values).all()
            for step in steps:
                if step[3].startswith(tuple(f"SCAN {name}" for name in OURS)) and "INDEX" not in step[3]:
                    yield step[3]
            return
        # On a nearly empty table a scan is cheapest; forbidden, it is chosen only where there is no other way.
        connection.execute(text("SET LOCAL enable_seqscan = off"))
        for (step,) in connection.exec_driver_sql(f"EXPLAIN {statement}", values):
            if "Seq Scan" in step:
                yield step
