"""From nothing to the newest step, and what guards the way."""

from __future__ import annotations

import pytest
from flask import Flask
from sqlalchemy import inspect, text

from underboard.core.errors import StoreNewer
from underboard.store import db, migrate_to_head
from underboard.store.database import writing
from underboard.store.migrating import drift
from underboard.store.tables import Base


def test_the_newest_step_is_what_the_code_says(database_app: Flask) -> None:
    with db.engine.connect() as connection:
        assert drift(connection) == []
    assert set(inspect(db.engine).get_table_names()) == {*Base.metadata.tables, "alembic_version"}


def test_a_second_time_does_nothing(database_url: str) -> None:
    assert migrate_to_head(database_url) is False


def test_a_database_of_a_later_version_is_left_alone(database_app: Flask, database_url: str) -> None:
    with db.engine.begin() as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreNewer):
        migrate_to_head(database_url)


SETTINGS = {
    # 2 is FULL: sqlite.org/pragma.html#pragma_synchronous
    "sqlite": {"PRAGMA journal_mode": "wal", "PRAGMA synchronous": 2, "PRAGMA foreign_keys": 1},
    "postgresql": {"SHOW lock_timeout": "5s", "SHOW idle_in_transaction_session_timeout": "10s"},
}


def test_each_database_is_set_up_for_a_home_server(database_app: Flask) -> None:
    with db.engine.connect() as connection:
        wanted = SETTINGS[connection.dialect.name]
        assert {ask: connection.exec_driver_sql(ask).scalar() for ask in wanted} == wanted


def test_a_writer_that_reads_first_is_not_refused_later(database_app: Flask) -> None:
    """Two writers that both read before they write: without BEGIN IMMEDIATE, SQLite would fail one at once."""
    import threading

    from tests.store.sender import COUNT, new_plot, put

    phones, faults = new_plot(*"ABCDEFGH"), []

    def write(number: int) -> None:
        with database_app.app_context():
            try:
                for _ in range(5):
                    phones[number].push(put(COUNT))
            except Exception as fault:
                faults.append(fault)

    threads = [threading.Thread(target=write, args=(number,)) for number in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == [] and len(phones[0].pull_all()[0]) == 40


def test_a_transaction_that_fails_leaves_nothing(database_app: Flask) -> None:
    with pytest.raises(ZeroDivisionError), writing() as connection:
        connection.execute(text("INSERT INTO sync_clock VALUES ('p', 'e', 0, 0)"))
        raise ZeroDivisionError
    with db.engine.connect() as connection:
        assert connection.execute(text("SELECT count(*) FROM sync_clock")).scalar() == 0
