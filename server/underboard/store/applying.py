"""Writing a plan's rows: one bulk statement a table, and one operation at a time if that fails."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

import structlog
from sqlalchemy import Connection, bindparam, insert, update
from sqlalchemy.exc import DBAPIError, OperationalError

from underboard.core.sync.plan import LogEntry, Plan
from underboard.core.sync.terms import Conflict, Op, Result, State
from underboard.store.tables import BlobNameRow, ChangeRow, ConflictRow, OpResultRow, RecordRow

_UPDATE_RECORD = (
    update(RecordRow)
    .where(RecordRow.id == bindparam("key"))
    .values(
        {
            name: bindparam(name)
            for name in ("rev", "seq", "deleted", "body", "clock_suspect", "open_conflicts")
        }
    )
)
_CLOSE = update(ConflictRow).where(ConflictRow.id == bindparam("key")).values(resolved_by=bindparam("by"))


def apply_plan(
    connection: Connection, plot_id: str, device_id: str, plan: Plan, now: datetime
) -> list[Result]:
    """Write everything; return the results, where an operation that the database refuses says `retry`."""
    try:
        with connection.begin_nested():
            _write(connection, plot_id, device_id, plan, now.isoformat(), None)
        return plan.results
    except OperationalError:
        raise  # locked or full: the same for every operation, so the whole push is answered with it
    except DBAPIError as fault:
        structlog.get_logger("underboard").error("bulk write refused", exc_info=fault)
    return _one_by_one(connection, plot_id, device_id, plan, now.isoformat())


def _one_by_one(connection: Connection, plot_id: str, device_id: str, plan: Plan, at: str) -> list[Result]:
    """Give each record a savepoint of its own, so that one that cannot be stored does not block the rest."""
    failed = set()
    for record_id in dict.fromkeys(op.id for op, _ in plan.ledger):
        try:
            with connection.begin_nested():
                _write(connection, plot_id, device_id, plan, at, record_id)
        except OperationalError:
            raise
        except DBAPIError as fault:
            structlog.get_logger("underboard").error("record refused", exc_info=fault, record=record_id)
            failed.add(record_id)
    problem = {
        "type": "/problems/server-fault",
        "title": "The server made a mistake",
        "status": 500,
        "detail": "The server could not store this one. It stays on the phone and is tried again later.",
    }
    return [
        Result(r.op_id, "retry", problem=problem) if r.record_id in failed and r.seq is not None else r
        for r in plan.results
    ]


def _write(
    connection: Connection, plot_id: str, device_id: str, plan: Plan, at: str, only: str | None
) -> None:
    def wanted(record_id: str) -> bool:
        return only is None or record_id == only

    states = [state for state in plan.states.values() if wanted(state.id)]
    created = [_record(plot_id, s) for s in states if s.id in plan.created]
    changed = [_changed(s) for s in states if s.id not in plan.created]
    log = [_change(entry, at) for entry in plan.log if wanted(entry.record_id)]
    kept = [_conflict(record_id, c) for record_id, c in plan.conflicts if wanted(record_id)]
    closed = [{"key": key, "by": by} for key, by in plan.closed if only is None or _acts_on(plan, by, only)]
    ledger = [_ledger(plot_id, device_id, op, r) for op, r in plan.ledger if wanted(op.id)]
    for statement, rows in (
        (insert(RecordRow), created),
        (_UPDATE_RECORD, changed),
        (insert(ChangeRow), log),
        (insert(ConflictRow), kept),
        (_CLOSE, closed),
        (insert(OpResultRow), ledger),
    ):
        if rows:
            connection.execute(statement, rows)
    _name_photos(connection, plot_id, [entry for entry in plan.log if wanted(entry.record_id)])


def _acts_on(plan: Plan, op_id: str, record_id: str) -> bool:
    return any(op.op_id == op_id and op.id == record_id for op, _ in plan.ledger)


def _text(value: Mapping[str, Any]) -> str:
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False)


def _changed(state: State) -> dict[str, Any]:
    return {
        "key": state.id,
        "rev": state.rev,
        "seq": state.seq,
        "deleted": state.deleted,
        "body": _text(state.body),
        "clock_suspect": state.clock_suspect,
        "open_conflicts": len(state.conflicts),
    }


def _record(plot_id: str, state: State) -> dict[str, Any]:
    row = _changed(state)
    row["id"] = row.pop("key")
    return {**row, "plot_id": plot_id, "type": state.type, "restored_rev": 0}


def _change(entry: LogEntry, at: str) -> dict[str, Any]:
    return {
        "record_id": entry.record_id,
        "rev": entry.change.rev,
        "op_id": entry.change.op_id,
        "device_id": entry.change.device_id,
        "kind": entry.change.kind,
        "set": _text(entry.set),
        "prev": _text(entry.prev) if entry.prev else "{}",
        "at": at,
    }


def _conflict(record_id: str, conflict: Conflict) -> dict[str, Any]:
    return {
        "id": conflict.id,
        "record_id": record_id,
        "device_id": conflict.device_id,
        "set": _text(conflict.set),
        "why": conflict.why,
        "base_rev": conflict.base_rev,
        "resolved_by": None,
    }


def _ledger(plot_id: str, device_id: str, op: Op, result: Result) -> dict[str, Any]:
    return {
        "op_id": op.op_id,
        "plot_id": plot_id,
        "device_id": device_id,
        "digest": op.digest,
        "status": result.status,
        "rev": result.rev or 0,
    }


def _name_photos(connection: Connection, plot_id: str, entries: list[LogEntry]) -> None:
    """Note which photos the operations name: that is what makes a photo readable to the plot."""
    names = set()
    for entry in entries:
        photos = entry.set.get("photos")
        for photo in photos if isinstance(photos, list) else ():
            names.add((photo["sha256"], entry.record_id))
        own = entry.set.get("sha256")
        if isinstance(own, str):
            names.add((own, entry.record_id))
    if not names:
        return
    if connection.dialect.name == "sqlite":
        from sqlalchemy.dialects.sqlite import insert as upsert
    else:
        from sqlalchemy.dialects.postgresql import insert as upsert  # type: ignore[assignment]
    rows = [{"plot_id": plot_id, "sha256": sha, "record_id": record} for sha, record in sorted(names)]
    connection.execute(upsert(BlobNameRow).on_conflict_do_nothing(), rows)
