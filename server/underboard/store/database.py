"""The database behind the app, SQLite that waits for the disk or PostgreSQL, and its transactions."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from flask import Flask
from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import Connection, Engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError

from underboard.store.driving import rows_of
from underboard.store.tables import Base
from underboard.store.troubles import raise_trouble

db = SQLAlchemy(model_class=Base)

BUSY_SECONDS = 10
APPLICATION = "underboard"
"""How PostgreSQL lists our connections; a restore looks for them."""
HIGH_WATER = "underboard_high_water"
"""Key of the app extension that says where the high water mark lies; see `restore`."""
# A writer that hangs must not hold up every phone: PostgreSQL gives up on locks and on idle transactions.
POSTGRES_OPTIONS = "-c lock_timeout=5000 -c idle_in_transaction_session_timeout=10000"

# FULL: what a phone was told is on the disk. The log goes into the file every 16 MB instead of 4: pages at the end of
# the trees, which each push touches again, are then copied a quarter as often. 4 MB of pages a connection: with 16,
# each of the pool's held that much for good once a phone had pulled ten years, and no push was faster for it.
PRAGMAS = (
    "journal_mode=WAL",
    "synchronous=FULL",
    "foreign_keys=ON",
    "cache_size=-4000",
    "wal_autocheckpoint=4000",
)


def driver_url(url: str) -> str:
    """Return the URL with the driver we use: `postgresql://…` means psycopg here."""
    parsed = make_url(url)
    if parsed.drivername in ("postgresql", "postgres"):
        parsed = parsed.set(drivername="postgresql+psycopg")
    return parsed.render_as_string(hide_password=False)


def connect_arguments(url: str) -> dict[str, Any]:
    if make_url(url).get_backend_name() == "sqlite":
        return {"timeout": BUSY_SECONDS}
    return {"options": POSTGRES_OPTIONS, "application_name": APPLICATION}


def init_database(app: Flask) -> None:
    """Attach the database named by `SQLALCHEMY_DATABASE_URI` to the app.

    `UNDERBOARD_HIGH_WATER`, a path, says where the high water mark of `restore` lies.
    """
    url = driver_url(app.config["SQLALCHEMY_DATABASE_URI"])
    app.config["SQLALCHEMY_DATABASE_URI"] = url
    options = app.config.setdefault("SQLALCHEMY_ENGINE_OPTIONS", {})
    options.setdefault("connect_args", connect_arguments(url))
    options.setdefault("pool_pre_ping", not url.startswith("sqlite"))
    app.extensions[HIGH_WATER] = app.config.get("UNDERBOARD_HIGH_WATER") or _beside(url)
    db.init_app(app)
    with app.app_context():
        prepare_engine(db.engine)


def _beside(url: str) -> Path | None:
    """Where the high water mark of a database file lies when nothing else is said: next to it."""
    parsed = make_url(url)
    if parsed.get_backend_name() != "sqlite" or not parsed.database or parsed.database == ":memory:":
        return None
    return Path(parsed.database).parent / "high_water.json"


def prepare_engine(engine: Engine) -> None:
    """Set what SQLite does not set by itself; PostgreSQL needs nothing more."""
    if engine.dialect.name != "sqlite":
        return
    event.listen(engine, "connect", _sqlite_connected)
    event.listen(engine, "begin", _sqlite_begins)


def _sqlite_connected(connection: sqlite3.Connection, _record: object) -> None:
    # The driver's own BEGIN comes too late (before the first write only), so it is switched off.
    connection.isolation_level = None
    for pragma in PRAGMAS:
        connection.execute(f"PRAGMA {pragma}")


def _sqlite_begins(connection: Connection) -> None:
    # A transaction that reads first and writes later fails at once with BUSY when another one has written in
    # between, whatever the timeout. A writer therefore says so at the start.
    writes = connection.get_execution_options().get("writes")
    rows_of(connection, "BEGIN IMMEDIATE" if writes else "BEGIN")


def settle(url: str) -> None:
    """Bring everything into the one database file when the server has stopped.

    SQLite keeps the newest rows in a log beside the file until the last connection closes in good order, which
    a worker that is told to end does not do. People back up by copying the file; it must be whole.
    """
    path = make_url(url).database
    if make_url(url).get_backend_name() != "sqlite" or not path or not Path(path).is_file():
        return
    connection = sqlite3.connect(path, timeout=BUSY_SECONDS)
    try:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    finally:
        connection.close()


@contextmanager
def writing() -> Iterator[Connection]:
    """Open a transaction that writes; it commits at the end, or leaves nothing."""
    try:
        # The option belongs to the connection: an engine with options is made anew each time, listeners and all.
        with db.engine.connect() as connection, connection.execution_options(writes=True).begin():
            yield connection
    except DBAPIError as fault:
        raise_trouble(fault)
        raise


@contextmanager
def reading() -> Iterator[Connection]:
    """Open a transaction that only reads, on one state of the database."""
    try:
        with db.engine.connect() as connection:
            connection.begin()
            yield connection
    except DBAPIError as fault:
        raise_trouble(fault)
        raise
