"""A whole database, out into one SQLite file and in again, whichever of the two it lives in.

The copy is of one moment, while others go on writing: SQLite's own online backup (sqlite.org/backup.html), or
one REPEATABLE READ transaction that reads every table of PostgreSQL.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import (
    BigInteger,
    Connection,
    Integer,
    MetaData,
    Table,
    create_engine,
    func,
    insert,
    select,
    text,
)
from sqlalchemy.engine import make_url

from underboard.core.errors import BackupFailed
from underboard.store.database import BUSY_SECONDS, POSTGRES_OPTIONS, driver_url
from underboard.store.migrating import check_known, make_at, migrate_to_head, revision_of

STEP = "alembic_version"
AT_ONCE = 1000
# Reading all of it may take minutes, during which the transaction is not idle but our side is busy.
_PATIENT = f"{POSTGRES_OPTIONS} -c idle_in_transaction_session_timeout=0"


def is_sqlite(url: str) -> bool:
    return make_url(url).get_backend_name() == "sqlite"


def copy_out(url: str, target: Path) -> None:
    """Write the database of this moment into a new SQLite file.

    Raises
    ------
    BackupFailed
        There is no database yet.
    StoreNewer
        A later version wrote it; its tables are unknown here (PostgreSQL only).
    """
    if is_sqlite(url):
        _copy_sqlite(Path(make_url(url).database or ""), target)
    else:
        _copy_from_postgres(url, target)


def _copy_sqlite(source: Path, target: Path) -> None:
    if not source.is_file():
        raise BackupFailed(f"There is no database at {source} to back up.")
    with (
        closing(sqlite3.connect(source, timeout=BUSY_SECONDS)) as live,
        closing(sqlite3.connect(target)) as copy,
    ):
        copy.execute("PRAGMA synchronous=OFF")
        # In one step: writers are not held up by a reader, and it need not begin anew when they have written.
        live.backup(copy, pages=-1)
        # The copy must be whole without a log beside it.
        copy.execute("PRAGMA journal_mode=DELETE")


def _copy_from_postgres(url: str, target: Path) -> None:
    engine = create_engine(driver_url(url), connect_args={"options": _PATIENT})
    try:
        with engine.connect().execution_options(isolation_level="REPEATABLE READ") as live:
            revision = revision_of(live)
            if revision is None:
                raise BackupFailed("There is nothing in the database to back up yet.")
            check_known(revision)
            with opened_file(target) as copy:
                make_at(copy, revision)
                copy_rows(live.execution_options(stream_results=True), copy)
    finally:
        engine.dispose()


def copy_in(source: Path, url: str) -> None:
    """Replace everything in a PostgreSQL database by the rows of an SQLite file, in one transaction.

    Parameters
    ----------
    source
        At the newest step.
    """
    migrate_to_head(url)
    engine = create_engine(driver_url(url), connect_args={"options": _PATIENT})
    try:
        with opened_file(source) as copy, engine.begin() as live:
            names = ", ".join(f'"{table.name}"' for table in _tables(live))
            live.execute(text(f"TRUNCATE {names}"))
            copy_rows(copy, live)
            _set_counters(live)
    finally:
        engine.dispose()


@contextmanager
def opened_file(path: Path) -> Iterator[Connection]:
    """Open an SQLite file that nobody else uses; commits at the end, or leaves it as it was."""
    engine = create_engine(f"sqlite:///{path}")
    try:
        with engine.begin() as connection:
            yield connection
    finally:
        engine.dispose()


def _tables(connection: Connection) -> list[Table]:
    """Return the tables as they are there, each after those it points to; the counter of a plot comes first."""
    found = MetaData()
    found.reflect(bind=connection)
    return [table for table in found.sorted_tables if table.name != STEP]


def copy_rows(source: Connection, target: Connection) -> None:
    """Copy every row of every table. Both are at the same step."""
    into = {table.name: table for table in _tables(target)}
    for table in _clock_first(_tables(source)):
        for rows in source.execute(select(table)).mappings().partitions(AT_ONCE):
            target.execute(insert(into[table.name]), [_in_utc(dict(row)) for row in rows])


def _clock_first(tables: list[Table]) -> list[Table]:
    # Triggers compare the number of a record with its plot's counter.
    return sorted(tables, key=lambda table: table.name != "sync_clock")


def _in_utc(row: dict[str, Any]) -> dict[str, Any]:
    """PostgreSQL gives times in its session's zone, SQLite keeps them without one; all of ours are UTC."""
    return {
        name: (value.astimezone(UTC) if value.tzinfo else value.replace(tzinfo=UTC))
        if isinstance(value, datetime)
        else value
        for name, value in row.items()
    }


def _set_counters(live: Connection) -> None:
    """Let PostgreSQL's own counters go on after the rows that were put in with their numbers."""
    for table in _tables(live):
        keys = list(table.primary_key.columns)
        if len(keys) != 1 or not isinstance(keys[0].type, (Integer, BigInteger)):
            continue
        counter = live.scalar(select(func.pg_get_serial_sequence(table.name, keys[0].name)))
        highest = live.scalar(select(func.max(keys[0])))
        if counter and highest is not None:
            live.execute(select(func.setval(counter, highest)))


def count_rows(connection: sqlite3.Connection) -> tuple[dict[str, int], dict[str, dict[str, int]]]:
    """Count the rows of every table, and of every table for every plot."""
    names = [
        str(name)
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
        if not name.startswith("sqlite_") and name != STEP
    ]
    totals: dict[str, int] = {}
    plots: dict[str, dict[str, int]] = {
        str(plot): {} for (plot,) in connection.execute("SELECT plot_id FROM sync_clock ORDER BY plot_id")
    }
    for name in names:
        totals[name] = int(connection.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0])
        for plot, count in connection.execute(_by_plot(connection, name) or "SELECT 1, 1 WHERE 0"):
            if plot in plots:
                plots[plot][name] = int(count)
    for plot, count in connection.execute(
        "SELECT plot_id, count(*) FROM record WHERE NOT deleted GROUP BY plot_id"
    ):
        plots[plot]["living records"] = int(count)
    return totals, plots


def _by_plot(connection: sqlite3.Connection, table: str) -> str | None:
    columns = {row[1] for row in connection.execute(f'PRAGMA table_info("{table}")')}
    if "plot_id" in columns:
        return f'SELECT plot_id, count(*) FROM "{table}" GROUP BY plot_id'
    if "record_id" in columns:
        return (
            f'SELECT record.plot_id, count(*) FROM "{table}" AS one'
            " JOIN record ON record.id = one.record_id GROUP BY record.plot_id"
        )
    return None


def faults_in(connection: sqlite3.Connection) -> str | None:
    """Read all of a database file; return what is wrong with it, or None."""
    try:
        verdict = str(connection.execute("PRAGMA integrity_check(1)").fetchone()[0])
        if verdict != "ok":
            return verdict
        stray = connection.execute("PRAGMA foreign_key_check").fetchone()
    except sqlite3.DatabaseError as fault:
        return str(fault)
    return f"a row of {stray[0]} points to nothing" if stray else None
