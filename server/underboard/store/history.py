"""The change log of a record, and what was removed from a plot, for people to read."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, func, select
from sqlalchemy.orm import aliased

from underboard.core.errors import UnknownRecord
from underboard.core.records import RECORD_TYPES
from underboard.core.sync.past import Entry, Kept, Logged, returned_id, told
from underboard.store.database import reading
from underboard.store.log_views import ChangeRow
from underboard.store.tables import ChangeApart, ConflictRow, DeviceRow, OpResultApart, RecordRow

PEOPLE_WRITE = tuple(name for name, found in RECORD_TYPES.items() if not found.server_written)


@dataclass(frozen=True, slots=True)
class Signed:
    """Who did it and when the server took it."""

    device_id: str
    device: str | None
    received_at: str


@dataclass(frozen=True, slots=True)
class History:
    """A page of a record's changes, newest first."""

    record_id: str
    type: str | None
    rev: int
    deleted: bool
    entries: list[tuple[Entry, Signed, Signed | None]]
    """Each change with who did it and, of a settled conflict, who settled it."""
    next_before: int | None


def history(plot_id: str, record_id: str, before: int | None, limit: int) -> History:
    """Return changes with a revision below `before` (all when None), newest first.

    Raises
    ------
    UnknownRecord
        There is none in this plot, and none was forgotten.
    """
    with reading() as connection:
        type_, rev, deleted = _standing(connection, plot_id, record_id)
        statement = _LOG.where(ChangeRow.record_id == record_id)
        if before is not None:
            statement = statement.where(ChangeRow.rev < before)
        rows = connection.execute(statement.order_by(ChangeRow.rev.desc()).limit(limit + 1)).all()
        page = [_logged(row) for row in rows[:limit]]
        conflicts = _conflicts(connection, record_id)
        settling = {one.resolved_by for one in conflicts if one.resolved_by}
        around = _around(connection, record_id, page, settling)
        signed = {row.op_id: Signed(row.device_id, row.name, row.at) for row in (*rows[:limit], *around)}
    entries = told(page, [_logged(row) for row in around], conflicts)
    return History(
        record_id,
        type_,
        rev,
        deleted,
        [(entry, signed[entry.op_id], signed.get(entry.settled_by or "")) for entry in entries],
        page[-1].rev if len(rows) > limit else None,
    )


_LOG = select(
    ChangeRow.rev,
    ChangeRow.op_id,
    ChangeRow.kind,
    ChangeRow.set,
    ChangeRow.prev,
    ChangeRow.at,
    ChangeRow.device_id,
    DeviceRow.name,
).join(DeviceRow, DeviceRow.id == ChangeRow.device_id, isouter=True)


def _logged(row: Any) -> Logged:
    return Logged(row.rev, row.op_id, row.kind, json.loads(row.set), json.loads(row.prev))


def _standing(connection: Connection, plot_id: str, record_id: str) -> tuple[str | None, int, bool]:
    """Return type, revision and whether it is deleted; the type of a forgotten deletion is not known."""
    columns = (RecordRow.type, RecordRow.rev, RecordRow.deleted)
    found = connection.execute(
        select(*columns).where(RecordRow.id == record_id, RecordRow.plot_id == plot_id)
    ).one_or_none()
    if found is not None:
        return found.type or None, found.rev, found.deleted
    # Its row was forgotten, its log was not; the ledger says to which plot it belonged.
    forgotten = (
        select(func.max(ChangeApart.rev))
        .join(OpResultApart, OpResultApart.op_id == ChangeApart.op_id)
        .where(ChangeApart.record_id == record_id, OpResultApart.plot_id == plot_id)
    )
    rev = connection.scalar(forgotten)
    if rev is None:
        raise UnknownRecord(record_id)
    return None, rev, True


def _conflicts(connection: Connection, record_id: str) -> list[Kept]:
    columns = (ConflictRow.id, ConflictRow.why, ConflictRow.resolved_by)
    statement = select(*columns).where(ConflictRow.record_id == record_id)
    return [Kept(row.id, row.why, row.resolved_by) for row in connection.execute(statement)]


def _around(
    connection: Connection, record_id: str, page: Sequence[Logged], settling: set[str]
) -> Sequence[Any]:
    """Return what kept operations of a page are told by: the writes before them, and what settled them."""
    kept = [row.rev for row in page if row.kind == "conflict"]
    if not kept:
        return []
    written = ChangeRow.kind.in_(("put", "resolve")) & (ChangeRow.rev < max(kept))
    statement = _LOG.where(ChangeRow.record_id == record_id)
    return connection.execute(statement.where(written | ChangeRow.op_id.in_(settling))).all()


@dataclass(frozen=True, slots=True)
class Removed:
    """A record that was removed and not put back."""

    id: str
    type: str
    seq: int
    body: dict[str, Any]
    by: Signed


def removed(plot_id: str, before: int | None, limit: int) -> tuple[list[Removed], int | None]:
    """Return what people removed from a plot, newest first, and where to go on.

    Parameters
    ----------
    before
        Only numbers (`seq`) below this one; all when None.
    """
    later = aliased(ChangeApart)
    last = (
        select(func.max(later.rev))
        .where(later.record_id == RecordRow.id, later.kind == "del")
        .scalar_subquery()
    )
    statement = (
        select(
            RecordRow.id,
            RecordRow.type,
            RecordRow.seq,
            RecordRow.body,
            ChangeApart.device_id,
            ChangeApart.at,
            DeviceRow.name,
        )
        .select_from(RecordRow)
        .join(ChangeApart, (ChangeApart.record_id == RecordRow.id) & (ChangeApart.rev == last))
        .join(DeviceRow, DeviceRow.id == ChangeApart.device_id, isouter=True)
        .where(RecordRow.plot_id == plot_id, RecordRow.deleted.is_(True), RecordRow.open_conflicts == 0)
        .where(RecordRow.type.in_(PEOPLE_WRITE))
        .order_by(RecordRow.seq.desc())
        .limit(limit + 1)
    )
    if before is not None:
        statement = statement.where(RecordRow.seq < before)
    with reading() as connection:
        rows = connection.execute(statement).all()
        more = len(rows) > limit
        rows = rows[:limit]
        back = {returned_id(row.id): row.id for row in rows}
        there = connection.scalars(select(RecordRow.id).where(RecordRow.id.in_(back))).all()
    returned = {back[id_] for id_ in there}
    found = [
        Removed(row.id, row.type, row.seq, json.loads(row.body), Signed(row.device_id, row.name, row.at))
        for row in rows
        if row.id not in returned
    ]
    return found, rows[-1].seq if more else None
