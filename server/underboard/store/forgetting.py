"""Forgetting old deletions, so that a first sync and the disk do not carry them for ever.

What is forgotten is the row that says "deleted". The change log and the ledger of operations stay, so an edit
that comes years later still meets a deletion and becomes a conflict, never a record that is back.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy import delete, func, select, update

from underboard.store.among import among
from underboard.store.database import writing
from underboard.store.sync_store import take_numbers
from underboard.store.tables import ChangeApart, RecordRow, SyncClock

KEEP_DELETIONS = timedelta(days=400)


def forget_deletions(plot_id: str, now: datetime, keep: timedelta = KEEP_DELETIONS) -> int:
    """Forget deletions older than `keep`; return how many.

    A cursor from before the newest of them has expired from then on: its phone starts again from nothing.
    Deletions with an open conflict stay.

    Raises
    ------
    UnknownPlot
    """
    before = (now - keep).isoformat()
    last_change = (
        select(func.max(ChangeApart.at)).where(ChangeApart.record_id == RecordRow.id).scalar_subquery()
    )
    old = (
        select(RecordRow.id, RecordRow.seq)
        .where(RecordRow.plot_id == plot_id, RecordRow.deleted.is_(True), RecordRow.open_conflicts == 0)
        .where(last_change < before)
    )
    with writing() as connection:
        take_numbers(connection, plot_id, 0)
        found = connection.execute(old).all()
        if found:
            # By their ids: asked the same question again, a PostgreSQL that has not counted its rows yet weighs each
            # deletion against all.
            connection.execute(delete(RecordRow).where(among(RecordRow.id, [row.id for row in found])))
            horizon = max(row.seq for row in found)
            clock = update(SyncClock).where(SyncClock.plot_id == plot_id, SyncClock.gc_seq < horizon)
            connection.execute(clock.values(gc_seq=horizon))
    return len(found)
