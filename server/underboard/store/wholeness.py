"""Is the database that lies on the disk the whole one that was left there? Only looks, changes nothing."""

from __future__ import annotations

import sqlite3
import time
from contextlib import closing
from pathlib import Path

from underboard.core.errors import StoreDamaged
from underboard.store.database import BUSY_SECONDS
from underboard.store.restore import read_marks

DAMAGED = ("SQLITE_CORRUPT", "SQLITE_NOTADB", "SQLITE_IOERR")
LOOKS_EVERY = 20_000
"""Steps of SQLite's machine between two looks at the clock."""


def check_whole(file: Path, high_water: Path, seconds: float) -> None:
    """Refuse a database file that is damaged, empty or gone.

    Parameters
    ----------
    high_water
        Says that there were plots, even where the file does not.
    seconds
        Stop looking after this long: a start must not take minutes. What was not read by then is read by the
        next backup, in full.

    Raises
    ------
    StoreDamaged
    """
    there = file.is_file() and file.stat().st_size > 0
    if not there:
        if read_marks(high_water):
            what = "is empty" if file.exists() else "is gone"
            raise StoreDamaged(f"The database {file} {what}, though there were records in it.")
        return
    fault = damage_in(file, seconds)
    if fault is not None:
        raise StoreDamaged(f"The database {file} is damaged ({fault}).")


def damage_in(file: Path, seconds: float | None = None) -> str | None:
    """Return what is wrong with a database file; None when nothing was found (in the time that was given)."""
    stop_at = None if seconds is None else time.monotonic() + seconds
    try:
        with closing(
            sqlite3.connect(f"{file.as_uri()}?mode=ro", uri=True, timeout=BUSY_SECONDS)
        ) as connection:
            if stop_at is not None:
                connection.set_progress_handler(lambda: time.monotonic() > stop_at, LOOKS_EVERY)
            # Asked first: it needs no long look to find that this is no database.
            connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
            # Not quick_check: an index whose page is another page, whole in itself, is none to that one. All trees are
            # looked through first, as there; the comparing of rows and indexes comes after, twice the work in all.
            verdict = str(connection.execute("PRAGMA integrity_check(1)").fetchone()[0])
            # A page that belongs to another, empty table is a whole one: the table has lost its rows, and the others
            # know of some of them.
            stray = connection.execute("PRAGMA foreign_key_check").fetchone() if verdict == "ok" else None
    except sqlite3.DatabaseError as fault:
        name = getattr(fault, "sqlite_errorname", "")
        # Any other trouble (busy, not allowed) is told by whoever opens it next.
        return str(fault) if name.startswith(DAMAGED) else None
    if stray:
        return f"a row of {stray[0]} points to nothing"
    return None if verdict == "ok" else verdict.replace("\n", " ")
