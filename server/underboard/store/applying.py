"""Writing a plan's rows: one bulk statement a table, and one record at a time if that fails."""

from __future__ import annotations

import json
import traceback
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime
from typing import Any, Final

import structlog
from sqlalchemy import Connection, select
from sqlalchemy.exc import DBAPIError

from underboard.core.sync.plan import SERVER_FAULT, LogEntry, Plan
from underboard.core.sync.terms import Conflict, Op, Result, State, digest_of, write_fields
from underboard.store.among import among_named
from underboard.store.driving import insert_rows, is_sqlite, write_rows
from underboard.store.prepared import Prepared
from underboard.store.tables import RecordRow
from underboard.store.troubles import trouble_of

_MOVING: Final = (
    "rev", "seq", "deleted", "body", "clock_suspect", "open_conflicts", "type", "made_op", "made_device", "made_at",
)  # fmt: skip
_RECORD: Final = (*_MOVING, "id", "plot_id", "restored_rev")
_CHANGE: Final = ("record_id", "rev", "op_id", "device_id", "kind", "set", "prev", "at")
_CONFLICT: Final = ("id", "record_id", "device_id", "set", "why", "base_rev", "resolved_by")
_OP_RESULT: Final = ("op_id", "plot_id", "device_id", "digest", "status", "rev")
_BLOB_NAME: Final = ("plot_id", "sha256", "record_id")


class RowRefused(ValueError):
    """The database does not take one of the rows: give the transaction up, and do it again record by record."""


def apply_plan(
    connection: Connection, plot_id: str, device_id: str, plan: Plan, now: datetime, *, apart: bool = False
) -> list[Result]:
    """Write everything; return the results.

    Parameters
    ----------
    apart
        Give each record a savepoint of its own, so that one that cannot be stored does not block the rest: its
        operations say `retry`. A savepoint costs SQLite a copy of each page for each row that is written after
        it, so that it is only asked for when a row was refused.

    Raises
    ------
    RowRefused
        Not when `apart`.
    """
    log = structlog.get_logger("underboard")
    for op_id, fault in plan.faults:
        log.error("operation failed", op_id=op_id, fault="".join(traceback.format_exception(fault)))
    at = now.isoformat()
    if apart:
        return _one_by_one(connection, plot_id, device_id, plan, at)
    try:
        _write(connection, plot_id, device_id, plan, at)
    except DBAPIError as fault:
        if trouble_of(fault) is not None:
            raise  # locked, full, damaged: the same for every operation, so the whole push is answered with it
        # In few words: the database's own message may quote what people wrote.
        log.error("bulk write refused", fault=type(fault.orig).__name__)
        raise RowRefused("The database refuses a row.") from fault
    return plan.results


def _one_by_one(connection: Connection, plot_id: str, device_id: str, plan: Plan, at: str) -> list[Result]:
    failed = set()
    # A deletion of what is not there yet, and then what makes it: such a record is in both.
    for record_id in dict.fromkeys((*plan.made, *(op.id for op, _ in plan.ledger))):
        try:
            with connection.begin_nested():
                _write(connection, plot_id, device_id, _of_one(plan, record_id), at)
        except DBAPIError as fault:
            if trouble_of(fault) is not None:
                raise
            structlog.get_logger("underboard").error(
                "record refused", fault=type(fault.orig).__name__, record=record_id
            )
            failed.add(record_id)
    written = {op.op_id for op, _ in (*plan.made.values(), *plan.ledger)}
    return [
        Result(r.op_id, "retry", record_id=r.record_id, problem=SERVER_FAULT)
        if r.record_id in failed and r.op_id in written and r.status != "rejected"
        else r
        for r in plan.results
    ]


def _of_one(plan: Plan, record_id: str) -> Plan:
    """Return the part of a plan that one record is concerned by."""
    ledger = [(op, result) for op, result in plan.ledger if op.id == record_id]
    acting = {op.op_id for op, _ in ledger}
    return Plan(
        plan.seq,
        plan.clock_suspect,
        made={record_id: plan.made[record_id]} if record_id in plan.made else {},
        states={record_id: plan.states[record_id]} if record_id in plan.states else {},
        created=plan.created & {record_id},
        log=[entry for entry in plan.log if entry.record_id == record_id],
        conflicts=[kept for kept in plan.conflicts if kept[0] == record_id],
        closed=[(key, by) for key, by in plan.closed if by in acting],
        ledger=ledger,
    )


def _write(connection: Connection, plot_id: str, device_id: str, plan: Plan, at: str) -> None:
    """Write the rows of a plan.

    The statements go to the driver as text with tuples: building a dictionary and a compiled parameter set a
    row would cost as much again as everything else in a push.
    """
    suspect = 1 if plan.clock_suspect else 0
    records = [
        (1, seq, 0, op.text, suspect, 0, op.type or "", op.op_id, device_id, at, op.id, plot_id, 0)
        for op, seq in plan.made.values()
    ]
    changed = []
    for record_id, state in plan.states.items():
        if record_id in plan.created:
            records.append((*_moving(state), record_id, plot_id, 0))
        else:
            changed.append((*_moving(state), record_id))
    _insert(connection, "record", _RECORD, records)
    if changed:
        set_apart(connection, [row[-1] for row in changed])
        _update(connection, "record", _MOVING, "id", changed)
    for table, columns, rows in (
        ("change_apart", _CHANGE, [_change(entry, at) for entry in plan.log]),
        ("conflict", _CONFLICT, [_conflict(*kept) for kept in plan.conflicts]),
        ("op_result_apart", _OP_RESULT, [_op_result(plot_id, device_id, *done) for done in plan.ledger]),
    ):
        _insert(connection, table, columns, rows)
    _update(connection, "conflict", ("resolved_by",), "id", [(by, key) for key, by in plan.closed])
    named = {
        (plot_id, sha256, record_id)
        for record_id, set_ in (
            *((op.id, op.set) for op, _ in plan.made.values()),
            *((entry.record_id, entry.set) for entry in plan.log),
        )
        if "photos" in set_ or "sha256" in set_
        for sha256 in _photos(set_)
    }
    _insert(connection, "blob_name", _BLOB_NAME, sorted(named), " ON CONFLICT DO NOTHING")


def set_apart(connection: Connection, ids: Collection[str]) -> None:
    """Give what made these records rows of its own in the change log and the ledger, if it has none yet.

    Has to come before any change to them; the caller makes `made_op` of the records null.
    """
    changes, results = [], []
    for id_, plot_id, op_id, device_id, at, body in _MADE.ask(connection, ids=ids):
        digest = bytearray(digest_of("put", id_, body))
        changes.append((id_, 1, op_id, device_id, "put", body, "{}", at))
        results.append((op_id, plot_id, device_id, digest, "applied", 1))
    _insert(connection, "change_apart", _CHANGE, changes)
    # On PostgreSQL another plot may have used the id at the same moment: that must not hold up this record for good.
    _insert(connection, "op_result_apart", _OP_RESULT, results, " ON CONFLICT DO NOTHING")


_MADE = Prepared(
    select(
        RecordRow.id, RecordRow.plot_id, RecordRow.made_op, RecordRow.made_device, RecordRow.made_at, RecordRow.body
    ).where(among_named(RecordRow.id, "ids"), RecordRow.made_op.is_not(None))
)  # fmt: skip


# In rows for SQLite, yes and no are 1 and 0 and bytes a bytearray: for a bool or bytes the driver looks for an adapter
# first, which takes it longer than the rest of the row.


def _moving(state: State) -> tuple[Any, ...]:
    return (
        state.rev,
        state.seq,
        1 if state.deleted else 0,
        write_fields(state.body),
        1 if state.clock_suspect else 0,
        len(state.conflicts),
        state.type,
        None,
        None,
        None,
    )


def _change(entry: LogEntry, at: str) -> tuple[Any, ...]:
    change = entry.change
    prev = write_fields(entry.prev) if entry.prev else "{}"
    return entry.record_id, change.rev, change.op_id, change.device_id, change.kind, entry.text, prev, at


def _conflict(record_id: str, kept: Conflict) -> tuple[Any, ...]:
    return kept.id, record_id, kept.device_id, write_fields(kept.set), kept.why, kept.base_rev, None


def _op_result(plot_id: str, device_id: str, op: Op, result: Result) -> tuple[Any, ...]:
    return op.op_id, plot_id, device_id, bytearray(op.digest), result.status, result.rev or 0


def _photos(set_: Mapping[str, Any]) -> Iterable[str]:
    """Photos that an operation names: that is what makes a photo readable to the plot."""
    photos = set_.get("photos")
    if isinstance(photos, list):
        for photo in photos:
            if isinstance(photo, dict) and isinstance(photo.get("sha256"), str):
                yield photo["sha256"]
    own = set_.get("sha256")
    if isinstance(own, str):
        yield own


# How PostgreSQL reads what is not text.
_KINDS: Final = {
    "rev": "({})::bigint",
    "seq": "({})::bigint",
    "restored_rev": "({})::bigint",
    "base_rev": "({})::bigint",
    "open_conflicts": "({})::integer",
    "deleted": "({})::boolean",
    "clock_suspect": "({})::boolean",
    "digest": "decode({}, 'hex')",
}


def _insert(
    connection: Connection, table: str, columns: Sequence[str], rows: list[tuple[Any, ...]], tail: str = ""
) -> None:
    if not rows:
        return
    names = ",".join(f'"{name}"' for name in columns)
    if is_sqlite(connection):
        insert_rows(connection, f"INSERT INTO {table} ({names})", rows, tail)
    else:
        given = f"INSERT INTO {table} ({names}) SELECT {_read(columns)} FROM {_GIVEN}{tail}"
        connection.exec_driver_sql(given, (_packed(rows),))


def _update(
    connection: Connection, table: str, columns: Sequence[str], key: str, rows: list[tuple[Any, ...]]
) -> None:
    if not rows:
        return
    if is_sqlite(connection):
        sets = ",".join(f'"{name}"=?' for name in columns)
        write_rows(connection, f'UPDATE {table} SET {sets} WHERE "{key}"=?', rows)
    else:
        sets = ",".join(f'"{name}"=given."{name}"' for name in columns)
        connection.exec_driver_sql(
            f"UPDATE {table} SET {sets} FROM (SELECT {_read((*columns, key))} FROM {_GIVEN}) AS given"
            f' WHERE {table}."{key}"=given."{key}"',
            (_packed(rows),),
        )


_GIVEN: Final = "jsonb_array_elements(%s::jsonb) AS row(said)"


def _read(columns: Sequence[str]) -> str:
    return ",".join(
        f'{_KINDS.get(name, "{}").format(f"row.said->>{number}")} AS "{name}"'
        for number, name in enumerate(columns)
    )


def _packed(rows: list[tuple[Any, ...]]) -> str:
    """All rows as one JSON text: one statement a table, where one a row would each be sent and answered, and the
    driver's own arrays take as long to write as the rows."""
    return json.dumps(rows, default=bytearray.hex, separators=(",", ":"))
