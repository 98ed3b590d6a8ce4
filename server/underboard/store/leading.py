"""Which of several servers on one database does the scheduled work: only to save work, never for correctness.

Whoever holds the lock leads. Nothing relies on it: a lock can be lost with its connection, or lie on a network
disk where it means nothing, and the claim rows still give each slot to one runner.
"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path
from typing import Protocol

import psycopg

from underboard.store.database import POSTGRES_OPTIONS

try:
    import fcntl
except ImportError:  # a system without it: everybody leads, and the claim rows sort it out
    fcntl = None  # type: ignore[assignment]


class Lead(Protocol):
    """A lock that is asked for again and again."""

    def held(self) -> bool:
        """Say whether this process leads, and take the lead if it is free."""
        ...

    def give_up(self) -> None: ...


class FileLead:
    """A lock on a file beside an SQLite database. It goes with the process, however that ends."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._file: int | None = None

    def held(self) -> bool:
        if self._file is not None or fcntl is None:
            return True
        try:
            file = os.open(self._path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        except OSError:
            return True
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            os.close(file)
            return False
        except OSError:
            os.close(file)
            return True  # a disk that knows no locks
        self._file = file
        return True

    def give_up(self) -> None:
        if self._file is not None:
            os.close(self._file)
            self._file = None


class PostgresLead:
    """An advisory lock on a connection of its own. In a pool the lock would go to whoever gets the connection
    next, or stay behind with it."""

    def __init__(self, url: str, name: str = "underboard jobs") -> None:
        self._url = url.replace("postgresql+psycopg://", "postgresql://", 1)
        self._key = int.from_bytes(hashlib.sha256(name.encode()).digest()[:8], "big", signed=True)
        self._connection: psycopg.Connection[tuple[object, ...]] | None = None

    def held(self) -> bool:
        try:
            if self._connection is None:
                return self._take()
            self._connection.execute("SELECT 1")
            return True
        except psycopg.Error:
            self.give_up()
            return False

    def _take(self) -> bool:
        connection = psycopg.connect(
            self._url,
            autocommit=True,
            connect_timeout=5,
            options=POSTGRES_OPTIONS,
            application_name="underboard",
        )
        row = connection.execute("SELECT pg_try_advisory_lock(%s)", (self._key,)).fetchone()
        if row is None or not row[0]:
            connection.close()
            return False
        self._connection = connection
        return True

    def give_up(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None


def lead_of(database: str, lock_file: Path) -> Lead:
    """Return the lock that fits a database."""
    return PostgresLead(database) if database.startswith("postgresql") else FileLead(lock_file)
