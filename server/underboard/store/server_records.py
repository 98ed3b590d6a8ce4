"""Records that the server writes itself, inside a transaction that has the plot's counter row already.

The same rules as for a phone's push: numbers from the counter, the ledger of operations, the change log. An
operation that was here before changes nothing and takes no number, so that repeating a pass moves no counter.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from flask import current_app
from sqlalchemy import Connection, select

from underboard.core.sync.plan import plan_push
from underboard.core.sync.terms import Op, write_fields
from underboard.store.among import among
from underboard.store.applying import apply_plan
from underboard.store.database import HIGH_WATER
from underboard.store.gathering import gather, ledger_of, show_records
from underboard.store.restore import note_high_water
from underboard.store.sync_store import take_numbers
from underboard.store.tables import RecordRow

SERVER = "server"
"""Stands in the change log where a phone's device id stands."""


@dataclass(frozen=True, slots=True)
class Write:
    """Fields to set on one record. `op_id` is made from what is written: the same again is the same operation."""

    op_id: str
    type: str
    id: str
    set: Mapping[str, Any]


def lock_plot(connection: Connection, plot_id: str) -> tuple[str, int]:
    """Lock the plot's counter row without moving it; return (epoch, last number).

    Must be the first statement of the transaction.

    Raises
    ------
    UnknownPlot
    """
    return take_numbers(connection, plot_id, 0)


def write_records(
    connection: Connection, plot_id: str, writes: Sequence[Write], now: datetime
) -> list[dict[str, Any]]:
    """Write what is new of `writes`; return the records that changed, as they go over the wire.

    What was written before is left out, and so is a change to a record that somebody deleted: whoever threw a
    warning away does not want it back.

    Raises
    ------
    ValueError
        A record was refused; the transaction must not be committed.
    """
    fresh = _fresh(connection, plot_id, writes)
    if not fresh:
        return []
    epoch, before = take_numbers(connection, plot_id, len(fresh))
    known = gather(connection, plot_id, epoch, before, fresh)
    plan = plan_push(known, fresh, SERVER, server_writes=True)
    results = apply_plan(connection, plot_id, SERVER, plan, now)
    refused = [result for result in results if result.status not in ("applied", "merged")]
    if refused:
        problem = refused[0].problem or {}
        raise ValueError(f"{refused[0].record_id}: {problem.get('detail', refused[0].status)}")
    shown = show_records(connection, plot_id, [op.id for op in fresh])
    return [shown[id_] for id_ in dict.fromkeys(op.id for op in fresh)]


def note_written(plot_id: str, epoch: str, seq: int) -> None:
    """Raise the high water mark after the commit, as every push does."""
    path = current_app.extensions[HIGH_WATER]
    if path is not None:
        note_high_water(path, plot_id, epoch, seq)


def _fresh(connection: Connection, plot_id: str, writes: Iterable[Write]) -> list[Op]:
    wanted = {write.op_id: write for write in writes}
    if not wanted:
        return []
    seen = ledger_of(connection, plot_id, wanted)
    ids = {write.id for write in wanted.values()}
    statement = select(RecordRow.id, RecordRow.rev, RecordRow.deleted).where(
        among(RecordRow.id, ids), RecordRow.plot_id == plot_id
    )
    rows = {row.id: row for row in connection.execute(statement)}
    return [
        _op(write, rows[write.id].rev if write.id in rows else 0)
        for write in wanted.values()
        if write.op_id not in seen and not (write.id in rows and rows[write.id].deleted)
    ]


def _op(write: Write, base_rev: int) -> Op:
    fields = dict(write.set)
    return Op(write.op_id, "put", write.id, base_rev, fields, write.type, text=write_fields(fields))
