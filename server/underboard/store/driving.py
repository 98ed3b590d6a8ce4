"""Statements in the driver's own words.

On SQLite they go to the driver past SQLAlchemy, which takes ten times as long for its part as the database for the
answer. What the driver raises becomes what SQLAlchemy would have raised; there is no connection that could break.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from itertools import chain
from typing import Any, Final

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

AT_ONCE: Final = 25
"""Rows to a statement: more brings nothing, and no SQLite takes fewer than 999 values at once."""

Values = Mapping[str, Any] | tuple[Any, ...]


def is_sqlite(connection: Connection) -> bool:
    return connection.dialect.name == "sqlite"


def rows_of(connection: Connection, text: str, values: Values = ()) -> Sequence[Any]:
    """Execute a statement inside the transaction that was begun; return the rows, tuples as the driver gives them."""
    if is_sqlite(connection):
        try:
            return _driver(connection).execute(text, values).fetchall()
        except sqlite3.Error as fault:
            raise _known(connection, text, fault) from fault
    result = connection.exec_driver_sql(text, values)
    return result.all() if result.returns_rows else ()


def insert_rows(connection: Connection, into: str, rows: Sequence[tuple[Any, ...]], tail: str = "") -> None:
    """Insert rows; SQLite only.

    `into` is the statement up to its values. A statement takes several rows: where a trigger looks on, SQLite keeps for
    each statement what it would need to undo that one alone, which takes as long as a fifth of the row.
    """
    if not rows:
        return
    marks = f"({','.join('?' * len(rows[0]))})"
    whole = len(rows) - len(rows) % AT_ONCE
    text = f"{into} VALUES {','.join([marks] * AT_ONCE)}{tail}"
    try:
        for first in range(0, whole, AT_ONCE):
            _driver(connection).execute(text, tuple(chain.from_iterable(rows[first : first + AT_ONCE])))
    except sqlite3.Error as fault:
        raise _known(connection, text, fault) from fault
    write_rows(connection, f"{into} VALUES {marks}{tail}", rows[whole:])


def write_rows(connection: Connection, text: str, rows: Sequence[tuple[Any, ...]]) -> None:
    """Execute a statement once for each row; SQLite only."""
    try:
        _driver(connection).executemany(text, rows)
    except sqlite3.Error as fault:
        raise _known(connection, text, fault) from fault


def _driver(connection: Connection) -> sqlite3.Connection:
    driver = connection.connection.driver_connection
    assert isinstance(driver, sqlite3.Connection)
    return driver


def _known(connection: Connection, text: str, fault: sqlite3.Error) -> BaseException:
    # Never the values: people wrote them.
    return DBAPIError.instance(
        text, None, fault, sqlite3.Error, hide_parameters=True, dialect=connection.dialect
    )
