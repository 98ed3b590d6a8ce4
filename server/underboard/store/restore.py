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

from underboard.core.sync.epochs import epoch_after
from underboard.store.database import reading, writing
from underboard.store.tables import RecordRow, SyncClock

Marks = dict[str, dict[str, Any]]
LONG = 128 * 1024
"""Bytes of lines that were added before the file is made short again."""
_lock = threading.Lock()
_short_from: dict[Path, int] = {}


def begin_new_epoch(connection: Connection, plot_id: str) -> str:
    """Give a plot a new epoch. Revisions above the ones that were restored may be given out a second time;
    `restored_rev` remembers up to where an old base can be trusted."""
    before = connection.scalar(select(SyncClock.epoch).where(SyncClock.plot_id == plot_id)) or ""
    epoch = epoch_after(before, uuid.uuid4())
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
    with _lock:
        _raise_marks(path, {row.plot_id: {"epoch": row.epoch, "seq": row.seq} for row in rows})


def note_high_water(path: Path, plot_id: str, epoch: str, seq: int) -> None:
    """Note how far one plot has come. A mark that cannot be written is no reason to fail a push.

    A line is put behind the others, so that it costs the same with one plot as with ten thousand; now and then
    the file is made short again. A line that another process adds just then is lost, and comes with the plot's
    next push.
    """
    line = json.dumps({plot_id: {"epoch": epoch, "seq": seq}})
    try:
        with _lock:
            with path.open("ab", buffering=0) as file:  # one write, so whole lines whoever else writes
                file.write(f"\n{line}".encode())
                size = file.tell()
            if size > _short_from.get(path, LONG):
                _raise_marks(path, {})
    except OSError:
        return


def check_high_water(path: Path) -> list[str]:
    """Notice that an older database file was copied back, and begin a new epoch for the plots it concerns.

    Returns
    -------
    list of str
        The plots that got a new epoch; empty when all is as it was left.
    """
    marks = read_marks(path)
    behind = []
    with writing() as connection:
        for row in connection.execute(select(SyncClock)).all():
            mark = marks.get(row.plot_id)
            if mark and (mark["epoch"] != row.epoch or row.seq < mark["seq"]):
                begin_new_epoch(connection, row.plot_id)
                behind.append(row.plot_id)
    write_high_water(path)
    return behind


def read_marks(path: Path) -> Marks:
    """Read the marks, a JSON object a line; a line that a power cut left in pieces says nothing."""
    marks: Marks = {}
    try:
        lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return marks
    for line in lines:
        try:
            newer = {
                plot_id: {"epoch": str(mark["epoch"]), "seq": int(mark["seq"])}
                for plot_id, mark in json.loads(line).items()
            }
        except (ValueError, TypeError, KeyError, AttributeError):
            continue
        _raise(marks, newer)
    return marks


def _raise(marks: Marks, newer: Mapping[str, dict[str, Any]]) -> None:
    for plot_id, mark in newer.items():
        old = marks.get(plot_id)
        if old is None or old["epoch"] != mark["epoch"] or old["seq"] < mark["seq"]:
            marks[plot_id] = mark


def _raise_marks(path: Path, newer: Mapping[str, dict[str, Any]]) -> None:
    """Write the file anew, in one line."""
    marks = read_marks(path)
    _raise(marks, newer)
    # Several workers and a watcher of its own note here: a name for each.
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
    text = json.dumps(marks)
    part.write_text(text, encoding="utf-8")
    part.replace(path)
    _short_from[path] = LONG + 2 * len(text)
