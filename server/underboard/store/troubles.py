"""What an error of the database means for whoever asked: come back soon, make room, or the disk has trouble.

Also the note that a damaged database leaves in the data folder when a running server meets it: the worker that met
it is not the one that is asked for its health, and the next start must look longer than usual.
"""

from __future__ import annotations

import errno
from collections.abc import Iterator
from pathlib import Path
from typing import Final, Literal

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as NoConnectionLeft

from underboard.core.errors import PhotosAway, StoreBusy, StoreDamaged, StoreFull, StoreUnwritable

Trouble = Literal["busy", "full", "damaged", "unwritable", "photos away"]

# SQLite: result codes, sqlite.org/rescode.html; the longer names begin with the shorter.
_SQLITE: Final[tuple[tuple[str, Trouble], ...]] = (
    ("SQLITE_BUSY", "busy"),
    ("SQLITE_LOCKED", "busy"),
    ("SQLITE_FULL", "full"),
    ("SQLITE_CORRUPT", "damaged"),
    ("SQLITE_NOTADB", "damaged"),
    ("SQLITE_IOERR", "unwritable"),
    ("SQLITE_READONLY", "unwritable"),
    ("SQLITE_CANTOPEN", "unwritable"),
)
# PostgreSQL: appendix A of its manual. Class 08: connection; 57P0x: shutting down or starting up; 55P03, 40P01, 40001:
# locks; 53300: too many connections; 53100: disk full; 58: its files; XX001, XX002: damaged; 25006: read-only.
_POSTGRES: Final[tuple[tuple[str, Trouble], ...]] = (
    ("08", "busy"),
    ("57P0", "busy"),
    ("55P03", "busy"),
    ("40P01", "busy"),
    ("40001", "busy"),
    ("53300", "busy"),
    ("53100", "full"),
    ("58", "unwritable"),
    ("25006", "unwritable"),
    ("XX001", "damaged"),
    ("XX002", "damaged"),
)
_DISK_FULL: Final = (errno.ENOSPC, errno.EDQUOT)
_DISK_BROKEN: Final = (errno.EROFS, errno.EIO, errno.EFBIG)


def trouble_of(fault: BaseException) -> Trouble | None:
    """Say what an error is about, by itself or by what caused it; None when it is no trouble of the store."""
    for link in _chain(fault):
        found = _of(link)
        if found is not None:
            return found
    return None


def _of(link: BaseException) -> Trouble | None:
    if isinstance(link, StoreBusy | NoConnectionLeft):
        return "busy"
    if isinstance(link, PhotosAway):
        return "photos away"
    if isinstance(link, OSError):
        if link.errno in _DISK_FULL:
            return "full"
        return "unwritable" if link.errno in _DISK_BROKEN else None
    name = getattr(link, "sqlite_errorname", None)
    if name:
        return next((trouble for start, trouble in _SQLITE if name.startswith(start)), None)
    state = getattr(link, "sqlstate", None)
    if state:
        return next((trouble for start, trouble in _POSTGRES if state.startswith(start)), None)
    # The connection broke or was never made: then there is no state, since no server said it.
    if type(link).__module__.startswith("psycopg") and type(link).__name__ == "OperationalError":
        return "busy"
    return "busy" if isinstance(link, DBAPIError) and link.connection_invalidated else None


def raise_trouble(fault: BaseException) -> None:
    """Raise the store's own error for a trouble of the database; do nothing when it is another kind of error."""
    match trouble_of(fault):
        case "busy":
            raise StoreBusy from fault
        case "full":
            raise StoreFull from fault
        case "damaged":
            raise StoreDamaged("The server's database is damaged.") from fault
        case "unwritable":
            raise StoreUnwritable from fault


def _chain(fault: BaseException | None) -> Iterator[BaseException]:
    seen: list[BaseException] = []
    while fault is not None and fault not in seen:
        seen.append(fault)
        yield fault
        fault = getattr(fault, "orig", None) or fault.__cause__ or fault.__context__


def note_damage(note: Path, words: str) -> None:
    """Remember that the database was found damaged. A disk that takes no note is no reason to fail."""
    try:
        if not note.exists():
            note.write_text(words + "\n", "utf-8")
    except OSError:
        return


def damage_noted(note: Path) -> bool:
    return note.exists()


def forget_damage(note: Path) -> None:
    """The database was looked through and is whole."""
    note.unlink(missing_ok=True)
