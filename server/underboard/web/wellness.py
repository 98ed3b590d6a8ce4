"""Can records be stored here and now? Asked of the database and of the disk, by trying."""

from __future__ import annotations

import os
import shutil
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Final

from sqlalchemy import update
from sqlalchemy.exc import SQLAlchemyError

from underboard.config import Settings
from underboard.core.errors import StoreBusy, StoreDamaged, StoreFault, StoreFull
from underboard.store.database import writing
from underboard.store.tables import SyncClock
from underboard.store.troubles import damage_noted, note_damage

LOW_DISK_BYTES: Final = 50 * 1024 * 1024
HOLDS_S: Final = 1.0
"""A verdict is told again for so long: whoever asks without pause must not keep the database busy."""


class Wellness:
    """The last verdict, and when it was made."""

    def __init__(self, monotonic: Callable[[], float]) -> None:
        self._monotonic = monotonic
        self._lock = threading.Lock()
        self._last: tuple[float, list[str]] | None = None

    def why_not(self, look: Callable[[], list[str]]) -> list[str]:
        """What is wrong, in short sentences; nothing when all is well. `look` is asked at most once a second."""
        with self._lock:
            if self._last is None or self._monotonic() - self._last[0] >= HOLDS_S:
                self._last = (self._monotonic(), look())
            return self._last[1]


def looked_at(settings: Settings) -> list[str]:
    """Look now. Writes nothing that stays."""
    why = []
    if damage_noted(settings.damage_note):
        why.append("the database is damaged")
    else:
        why += _database(settings)
    why += _folder(settings.data)
    return why


def _database(settings: Settings) -> list[str]:
    try:
        with writing() as connection:
            # Changes no row, but asks for the right to: a database that is read-only or locked says so.
            nothing = update(SyncClock).where(SyncClock.plot_id == "").values(seq=SyncClock.seq)
            connection.execute(nothing)
    except StoreBusy:
        return ["the database does not answer or is locked by another program"]
    except StoreDamaged:
        note_damage(settings.damage_note, "found by a look at the server's health")
        return ["the database is damaged"]
    except StoreFull:
        return ["the disk is full"]
    except StoreFault:
        return ["the database can't be written"]
    except SQLAlchemyError:
        return ["the database does not answer"]
    return []


def _folder(data: Path) -> list[str]:
    try:
        if shutil.disk_usage(data).free < LOW_DISK_BYTES:
            return ["the disk is nearly full"]
        probe = data / f".well-{os.getpid()}"
        probe.write_bytes(b"x")
        probe.unlink()
    except OSError as fault:
        return [f"nothing can be written into the data folder ({fault.strerror})"]
    return []
