"""Numbers and commits in one order, held by the database itself; a reader past stalled writers of every kind:
tests/faults/nastiest/test_03_commit_order.py.
"""

from __future__ import annotations

import pytest
from flask import Flask
from sqlalchemy import insert, update
from sqlalchemy.exc import DBAPIError

from tests.store.sender import COUNT, new_plot, put
from underboard.store import db, sync_store
from underboard.store.database import writing
from underboard.store.people import new_id
from underboard.store.tables import RecordRow


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
