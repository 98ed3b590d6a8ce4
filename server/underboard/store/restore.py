"""After a restore: a new epoch, so that phones pull anew and bring back what the backup lacked."""

from __future__ import annotations

import json
import uuid
from pathlib import Path

from sqlalchemy import Connection, select, update

from underboard.store.database import reading, writing
from underboard.store.tables import RecordRow, SyncClock


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
    marks = {row.plot_id: {"epoch": row.epoch, "seq": row.seq} for row in rows}
    part = path.with_suffix(".part")
    part.write_text(json.dumps(marks), encoding="utf-8")
    part.replace(path)


def check_high_water(path: Path) -> list[str]:
    """Notice that an older database file was copied back, and begin a new epoch for the plots it concerns.

    Returns
    -------
    list of str
        The plots that got a new epoch; empty when all is as it was left.
    """
    try:
        marks = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return []
    behind = []
    with writing() as connection:
        for row in connection.execute(select(SyncClock)).all():
            mark = marks.get(row.plot_id)
            if mark and mark["epoch"] == row.epoch and row.seq < mark["seq"]:
                begin_new_epoch(connection, row.plot_id)
                behind.append(row.plot_id)
    return behind
