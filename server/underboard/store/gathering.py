"""What the store knows about the operations of a push, and records in the form phones get them."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from typing import Any, cast

from sqlalchemy import Connection, Row, select

from underboard.core.sync.plan import Known
from underboard.core.sync.terms import Change, Conflict, Ledger, Op, State, Status
from underboard.store.tables import ChangeRow, ConflictRow, DeviceRow, OpResultRow, RecordRow

# SQLite takes at most 32,766 values in one statement; a push has 500 operations.


def gather(connection: Connection, plot_id: str, epoch: str, seq: int, ops: Sequence[Op]) -> Known:
    """Look up, in two queries, operations seen before and records touched; the rest only where needed."""
    ledger = _ledger(connection, plot_id, [op.op_id for op in ops])
    ids = {op.id for op in ops}
    states: dict[str, State] = {}
    elsewhere = set()
    for row in connection.execute(select(RecordRow).where(RecordRow.id.in_(ids))):
        if row.plot_id == plot_id:
            states[row.id] = _state(row)
        else:
            elsewhere.add(row.id)
    _open_conflicts(connection, states)
    logs = _logs(connection, states)
    return Known(epoch, seq, ledger, states, logs, frozenset(elsewhere))


def _ledger(connection: Connection, plot_id: str, op_ids: list[str]) -> dict[str, Ledger]:
    columns = (
        OpResultRow.op_id,
        OpResultRow.plot_id,
        OpResultRow.digest,
        OpResultRow.status,
        OpResultRow.rev,
    )
    found = {}
    for op_id, of_plot, digest, status, rev in connection.execute(
        select(*columns).where(OpResultRow.op_id.in_(op_ids))
    ):
        # An id taken by another plot: a digest that fits nothing makes the phone choose a new one.
        found[op_id] = Ledger(bytes(digest) if of_plot == plot_id else b"", cast(Status, status), rev)
    return found


def _state(row: Row[Any]) -> State:
    return State(
        row.id,
        row.type,
        row.rev,
        row.seq,
        row.deleted,
        json.loads(row.body),
        row.restored_rev,
        row.clock_suspect,
    )


def _open_conflicts(connection: Connection, states: dict[str, State]) -> None:
    if not states:
        return
    statement = select(ConflictRow).where(
        ConflictRow.record_id.in_(list(states)), ConflictRow.resolved_by.is_(None)
    )
    for row in connection.execute(statement):
        kept = Conflict(row.id, row.device_id, row.why, row.base_rev, json.loads(row.set))
        states[row.record_id].conflicts[row.id] = kept


def _logs(connection: Connection, states: dict[str, State]) -> dict[str, list[Change]]:
    logs: dict[str, list[Change]] = {record_id: [] for record_id in states}
    if not states:
        return logs
    columns = (
        ChangeRow.record_id,
        ChangeRow.op_id,
        ChangeRow.rev,
        ChangeRow.device_id,
        ChangeRow.kind,
        ChangeRow.set,
    )
    statement = select(*columns).where(ChangeRow.record_id.in_(list(states))).order_by(ChangeRow.rev)
    for record_id, op_id, rev, device_id, kind, set_ in connection.execute(statement):
        # A kept conflict changed nothing in the record, so it is nobody's overlap.
        fields = frozenset(json.loads(set_)) if kind in ("put", "resolve") else frozenset()
        logs[record_id].append(Change(op_id, rev, device_id, kind, fields))
    return logs


def show_records(connection: Connection, plot_id: str, ids: Iterable[str]) -> dict[str, dict[str, Any]]:
    """Return records of the plot in wire form, by id."""
    wanted = list(dict.fromkeys(ids))
    if not wanted:
        return {}
    statement = select(RecordRow).where(RecordRow.id.in_(wanted), RecordRow.plot_id == plot_id)
    rows = connection.execute(statement).all()
    return {record["id"]: record for record in to_wire(connection, rows)}


def to_wire(connection: Connection, rows: Sequence[Row[Any]]) -> list[dict[str, Any]]:
    """Return rows as pull sends them: newest state, with the conflicts that are open."""
    disputed = [row.id for row in rows if row.open_conflicts]
    conflicts: dict[str, list[dict[str, Any]]] = {}
    if disputed:
        statement = (
            select(ConflictRow, DeviceRow.name)
            .join(DeviceRow, DeviceRow.id == ConflictRow.device_id, isouter=True)
            .where(ConflictRow.record_id.in_(disputed), ConflictRow.resolved_by.is_(None))
            .order_by(ConflictRow.id)
        )
        for row in connection.execute(statement):
            shown = {"id": row.id, "device": row.name, "why": row.why, "set": json.loads(row.set)}
            conflicts.setdefault(row.record_id, []).append(shown)
    return [_wire(row, conflicts.get(row.id, [])) for row in rows]


def _wire(row: Row[Any], conflicts: list[dict[str, Any]]) -> dict[str, Any]:
    record: dict[str, Any] = {
        "id": row.id,
        "type": row.type,
        "rev": row.rev,
        "seq": row.seq,
        "deleted": row.deleted,
        "conflicts": conflicts,
    }
    if not row.deleted or conflicts:
        record["body"] = json.loads(row.body)
    if row.clock_suspect:
        record["clock_suspect"] = True
    return record
