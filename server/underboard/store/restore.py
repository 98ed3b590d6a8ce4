"""After a restore: a new epoch, so that phones pull anew and bring back what the backup lacked.

People also restore by copying an old file back. That is noticed by a small file beside the database, the high
water mark: for each plot its epoch and how far it had come, written after every push. A database that is
behind its mark, or of another epoch, is not the one that was left.
"""

from __future__ import annotations

import json
import os
import threading
import uuid
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select, update

from underboard.store.database import reading, writing
from underboard.store.tables import RecordRow, SyncClock

Marks = dict[str, dict[str, Any]]
_lock = threading.Lock()


def begin_new_epoch(connection: Connection, plot_id: str) -> str:
    """Give a plot a new epoch. Revisions above the ones that were restored may be given out a second time;
    `restored_rev` remembers up to where an old base can be trusted."""
    epoch = str(uuid.uuid4())
    connection.execute(update(SyncClock).where(SyncClock.plot_id == plot_id).values(epoch=epoch))
    connection.execute(
        update(RecordRow).where(RecordRow.plot_id == plot_id).values(restored_rev=RecordRow.rev)
    )
    return epoch


def begin_new_epochs() -> list[str]:
    """Give every plot a new epoch; return their ids."""
    with writing() as connection:
        plot_ids = list(connection.scalars(select(SyncClock.plot_id)))
        for plot_id in plot_ids:
            begin_new_epoch(connection, plot_id)
    return plot_ids


def write_high_water(path: Path) -> None:
    """Note beside the database how far each plot has come."""
    with reading() as connection:
        rows = connection.execute(select(SyncClock.plot_id, SyncClock.epoch, SyncClock.seq)).all()
    _raise_marks(path, {row.plot_id: {"epoch": row.epoch, "seq": row.seq} for row in rows})


def note_high_water(path: Path, plot_id: str, epoch: str, seq: int) -> None:
    """Note how far one plot has come. A mark that cannot be written is no reason to fail a push."""
    try:
        _raise_marks(path, {plot_id: {"epoch": epoch, "seq": seq}})
    except OSError:
        return


def check_high_water(path: Path) -> list[str]:
    """Notice that an older database file was copied back, and begin a new epoch for the plots it concerns.

    Returns
    -------
    list of str
        The plots that got a new epoch; empty when all is as it was left.
    """
    marks = _read_marks(path)
    behind = []
    with writing() as connection:
        for row in connection.execute(select(SyncClock)).all():
            mark = marks.get(row.plot_id)
            if mark and (mark["epoch"] != row.epoch or row.seq < mark["seq"]):
                begin_new_epoch(connection, row.plot_id)
                behind.append(row.plot_id)
    write_high_water(path)
    return behind


def _read_marks(path: Path) -> Marks:
    """Read the marks; a file that a power cut left in pieces says nothing."""
    try:
        marks = json.loads(path.read_text(encoding="utf-8"))
        return {
            plot_id: {"epoch": str(mark["epoch"]), "seq": int(mark["seq"])} for plot_id, mark in marks.items()
        }
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return {}


def _raise_marks(path: Path, newer: Mapping[str, dict[str, Any]]) -> None:
    with _lock:
        marks = _read_marks(path)
        for plot_id, mark in newer.items():
            old = marks.get(plot_id)
            if old is None or old["epoch"] != mark["epoch"] or old["seq"] < mark["seq"]:
                marks[plot_id] = mark
        # The server notes every push and a watcher of its own notes every minute: two writers, two names.
        part = path.with_name(f"{path.name}.{os.getpid()}.part")
        part.write_text(json.dumps(marks), encoding="utf-8")
        part.replace(path)
