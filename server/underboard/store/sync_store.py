"""Push against the database. Gathers what is known, asks `plan_push`, applies the plan.

The order inside a push is what sync stands on: the plot's counter row is updated first, which locks the plot
until the commit, so that commits and sequence numbers have one order and a reader with a cursor never misses
a row.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from flask import current_app
from sqlalchemy import BigInteger, Connection, bindparam, select, update

from underboard.core.errors import CursorAhead, EpochChanged, UnknownPlot
from underboard.core.sync.envelope import PushEnvelope, Unreadable
from underboard.core.sync.merge import Rules
from underboard.core.sync.plan import plan_push
from underboard.core.sync.terms import Op, Result
from underboard.store.applying import RowRefused, apply_plan
from underboard.store.cursor import read_cursor
from underboard.store.database import HIGH_WATER, reading, writing
from underboard.store.gathering import gather, show_records
from underboard.store.prepared import Prepared
from underboard.store.restore import begin_new_epoch, note_high_water
from underboard.store.tables import DeviceRow, SyncClock

CLOCK_TOLERANCE_S = 120


@dataclass(frozen=True, slots=True)
class PushAnswer:
    """What to answer: the epoch, and one JSON-ready result an operation in their order."""

    epoch: str
    results: list[dict[str, Any]]


@dataclass(slots=True)
class Making:
    """How a push is decided; tests put other rules in to see that the right ones matter."""

    rules: Rules = field(default_factory=Rules)
    next_seq: Callable[[Connection, str, int], tuple[str, int]] | None = None


STANDARD = Making()


def push(
    plot_id: str, device_id: str, envelope: PushEnvelope, now: datetime, making: Making = STANDARD
) -> PushAnswer:
    """Store a push in one transaction and say what became of each operation.

    Raises
    ------
    EpochChanged
        The phone's epoch is not the one that holds: it has to pull anew first. Nothing was stored.
    StoreBusy, StoreFull
        Nothing was stored.
    """
    try:
        return _pushed(plot_id, device_id, envelope, now, making, apart=False)
    except RowRefused:
        return _pushed(plot_id, device_id, envelope, now, making, apart=True)


def _pushed(
    plot_id: str, device_id: str, envelope: PushEnvelope, now: datetime, making: Making, *, apart: bool
) -> PushAnswer:
    readable = [op for op in envelope.ops if isinstance(op, Op)]
    suspect = _is_far(envelope.sent_at, now)
    with writing() as connection:
        epoch, before = (making.next_seq or take_numbers)(connection, plot_id, len(readable))
        if envelope.epoch is not None and envelope.epoch != epoch:
            raise EpochChanged(epoch)
        known = gather(connection, plot_id, epoch, before, readable)
        plan = plan_push(known, readable, device_id, making.rules, clock_suspect=suspect)
        results = apply_plan(connection, plot_id, device_id, plan, now, apart=apart)
        _PUSHED.ask(connection, device=device_id, now=now)
        shown = show_records(connection, plot_id, [r.record_id for r in results if r.show and r.record_id])
    _note_high_water(plot_id, epoch, before + len(readable))
    answers = iter([_answer(result, shown) for result in results])
    return PushAnswer(epoch, [next(answers) if isinstance(op, Op) else _refuse(op) for op in envelope.ops])


def server_write(plot_id: str, device_id: str, ops: Sequence[Op], now: datetime) -> list[Result]:
    """Write records that the server itself makes, through the same counter and rules."""
    try:
        return _written(plot_id, device_id, ops, now, apart=False)
    except RowRefused:
        return _written(plot_id, device_id, ops, now, apart=True)


def _written(plot_id: str, device_id: str, ops: Sequence[Op], now: datetime, *, apart: bool) -> list[Result]:
    with writing() as connection:
        epoch, before = take_numbers(connection, plot_id, len(ops))
        known = gather(connection, plot_id, epoch, before, ops)
        plan = plan_push(known, ops, device_id, server_writes=True)
        results = apply_plan(connection, plot_id, device_id, plan, now, apart=apart)
    _note_high_water(plot_id, epoch, before + len(ops))
    return results


def _note_high_water(plot_id: str, epoch: str, seq: int) -> None:
    path = current_app.extensions[HIGH_WATER]
    if path is not None:
        note_high_water(path, plot_id, epoch, seq)


def take_numbers(connection: Connection, plot_id: str, count: int) -> tuple[str, int]:
    """Lock the plot's counter row and move it on by `count`; return (epoch, the number before).

    Must be the first statement of a writing transaction. Numbers that are not used leave a harmless gap.
    """
    row = _NUMBERS.first(connection, plot=plot_id, count=count)
    if row is None:
        raise UnknownPlot(plot_id)
    epoch, seq = row
    return epoch, seq - count


def begin_anew_if_behind(plot_id: str, cursor: str) -> None:
    """Begin a new epoch when this cursor was given out by this plot, further on than the plot is now.

    So it is after a whole data folder was copied back, its high water mark with it: nothing beside the database
    tells, but a phone that was there later does.

    Raises
    ------
    EpochChanged
        The new one. Phones pull anew and bring back what is missing.
    """
    with writing() as connection:
        epoch, seq = take_numbers(connection, plot_id, 0)
        try:
            read_cursor(cursor, plot_id, epoch, seq)
            return
        except CursorAhead:
            epoch = begin_new_epoch(connection, plot_id)
    _note_high_water(plot_id, epoch, seq)
    raise EpochChanged(epoch)


CLOCK = Prepared(
    select(SyncClock.epoch, SyncClock.seq, SyncClock.gc_seq).where(SyncClock.plot_id == bindparam("plot"))
)
_NUMBERS = Prepared(
    update(SyncClock)
    .where(SyncClock.plot_id == bindparam("plot"))
    .values(seq=SyncClock.seq + bindparam("count", type_=BigInteger))
    .returning(SyncClock.epoch, SyncClock.seq)
)
_PUSHED = Prepared(
    update(DeviceRow).where(DeviceRow.id == bindparam("device")).values(last_push_at=bindparam("now"))
)


def clock_of(plot_id: str) -> tuple[str, int]:
    """Return the plot's epoch and its last number."""
    with reading() as connection:
        found = CLOCK.first(connection, plot=plot_id)
    if found is None:
        raise UnknownPlot(plot_id)
    epoch, seq, _ = found
    return epoch, seq


def last_seq(plot_id: str) -> int:
    return clock_of(plot_id)[1]


def epoch_of(plot_id: str) -> str:
    return clock_of(plot_id)[0]


def _is_far(sent_at: datetime | None, now: datetime) -> bool:
    return sent_at is not None and abs((sent_at - now).total_seconds()) > CLOCK_TOLERANCE_S


def _answer(result: Result, shown: Mapping[str, dict[str, Any]]) -> dict[str, Any]:
    if result.status == "applied" and result.seq is not None:  # as most are
        return {"op_id": result.op_id, "status": "applied", "rev": result.rev, "seq": result.seq}
    answer: dict[str, Any] = {"op_id": result.op_id, "status": result.status}
    if result.rev is not None:
        answer["rev"] = result.rev
    if result.seq is not None:
        answer["seq"] = result.seq
    if result.problem is not None:
        answer["problem"] = dict(result.problem)
    if result.show and result.record_id is not None and result.record_id in shown:
        answer["record"] = shown[result.record_id]
    return answer


def _refuse(op: Unreadable) -> dict[str, Any]:
    errors = [{"pointer": pointer, "detail": detail} for pointer, detail in op.faults]
    problem = {
        "type": "/problems/validation",
        "title": "Value not allowed",
        "status": 422,
        "detail": "; ".join(f"{e['pointer']}: {e['detail']}" for e in errors)[:1000],
        "errors": errors,
    }
    return {"op_id": op.op_id, "status": "rejected", "problem": problem}
