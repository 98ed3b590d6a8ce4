"""A whole push, decided: which rows to write and what to answer. Pure; the store applies it.

Operations are taken in order, each seeing what the ones before it did. One that fails is answered alone and
leaves no trace, so that it never blocks the rest.
"""

from __future__ import annotations

import copy
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from underboard.core.records import RECORD_TYPES, check_set
from underboard.core.sync.merge import Merged, Rules
from underboard.core.sync.terms import Change, Conflict, Ledger, Op, Result, State

SERVER_FAULT: Mapping[str, Any] = {
    "type": "/problems/server-fault",
    "title": "The server made a mistake",
    "status": 500,
    "detail": "The server could not store this one. It stays on the phone and is tried again later.",
}


@dataclass(slots=True)
class Known:
    """What the store found for the operations of one push."""

    epoch: str
    seq: int
    ledger: Mapping[str, Ledger]
    states: dict[str, State]
    logs: dict[str, list[Change]]
    elsewhere: frozenset[str] = frozenset()
    """Record ids of this push that belong to another plot."""
    purged: frozenset[str] = frozenset()
    """Record ids whose deletion is so old that its row is gone; `states` holds a tombstone made anew."""


@dataclass(frozen=True, slots=True)
class LogEntry:
    """A change to append."""

    change: Change
    record_id: str
    set: Mapping[str, Any]
    text: str
    prev: Mapping[str, Any]


@dataclass(slots=True)
class Plan:
    """Rows to write, and one result an operation in their order."""

    seq: int
    results: list[Result] = field(default_factory=list)
    states: dict[str, State] = field(default_factory=dict)
    created: set[str] = field(default_factory=set)
    log: list[LogEntry] = field(default_factory=list)
    conflicts: list[tuple[str, Conflict]] = field(default_factory=list)
    closed: list[tuple[str, str]] = field(default_factory=list)
    ledger: list[tuple[Op, Result]] = field(default_factory=list)
    faults: list[tuple[str, Exception]] = field(default_factory=list)
    """Operations (by id) that ran into a mistake of ours; the store logs them."""


def plan_push(
    known: Known,
    ops: Sequence[Op],
    device_id: str,
    rules: Rules | None = None,
    *,
    clock_suspect: bool = False,
    server_writes: bool = False,
) -> Plan:
    """Decide a push.

    Parameters
    ----------
    known
        Taken under the plot's lock; its states and logs are changed in place.
    clock_suspect
        The phone's clock was far from the server's when it sent: marked on what it writes, never refused.
    server_writes
        Allows record types that only the server writes.
    """
    rules = rules or Rules()
    plan = Plan(known.seq)
    ledger = dict(known.ledger)
    for op in ops:
        try:
            result = _one(known, ledger, plan, op, device_id, rules, clock_suspect, server_writes)
        except Exception as fault:  # one poisoned operation must never block the rest of a phone's queue
            plan.faults.append((op.op_id, fault))
            result = Result(op.op_id, "retry", record_id=op.id, problem=SERVER_FAULT)
        plan.results.append(result)
    return plan


def _one(
    known: Known,
    ledger: dict[str, Ledger],
    plan: Plan,
    op: Op,
    device_id: str,
    rules: Rules,
    clock_suspect: bool,
    server_writes: bool,
) -> Result:
    seen = ledger.get(op.op_id)
    repeat = rules.repeat(op, seen)
    if repeat == "reused":
        return Result(op.op_id, "reused", record_id=op.id)
    if repeat == "duplicate" and seen is not None:
        return Result(op.op_id, "duplicate", seen.rev, op.id, show=True)
    state = known.states.get(op.id)
    faults = _faults(known, op, state, server_writes)
    if faults:
        return Result(op.op_id, "rejected", record_id=op.id, problem=_problem(faults))
    nothing_to_delete = op.kind == "del" and (
        state is None or (op.id in known.purged and op.id not in plan.states)
    )
    # A resolve that sets a value may meet a server that a restore robbed of the record: the value is kept.
    if nothing_to_delete or (state is None and op.kind == "resolve" and not op.set):
        result = Result(op.op_id, "applied", 0, op.id)
    else:
        result = _apply(known, plan, op, state, device_id, rules, clock_suspect)
    ledger[op.op_id] = Ledger(op.digest, result.status, result.rev or 0)
    plan.ledger.append((op, result))
    return result


def _apply(
    known: Known,
    plan: Plan,
    op: Op,
    state: State | None,
    device_id: str,
    rules: Rules,
    clock_suspect: bool,
) -> Result:
    if state is None:
        state = State(op.id, op.type or "", 0, 0, False, dict(op.set))
        merged = Merged("applied", frozenset(op.set), op.kind, {})
        plan.created.add(op.id)
    else:
        trial = copy.copy(state)
        trial.body, trial.conflicts = dict(state.body), dict(state.conflicts)
        trial.type = state.type or op.type or ""
        merged = rules.apply(op, trial, known.logs.get(op.id, ()), known.epoch, device_id)
        state = trial
        if op.id in known.purged:
            plan.created.add(op.id)
    plan.seq += 1
    state.rev, state.seq = state.rev + 1, plan.seq
    if clock_suspect and merged.fields:
        state.clock_suspect = True
    elif "observed_at" in merged.fields:
        state.clock_suspect = False  # a clock that is right has said when
    change = Change(op.op_id, state.rev, device_id, merged.log_kind, merged.fields)
    known.states[op.id] = plan.states[op.id] = state
    known.logs.setdefault(op.id, []).append(change)
    plan.log.append(LogEntry(change, op.id, op.set, op.text, merged.prev))
    if merged.conflict is not None:
        plan.conflicts.append((op.id, merged.conflict))
    plan.closed += [(conflict_id, op.op_id) for conflict_id in merged.closed]
    show = merged.status in ("merged", "conflict")
    return Result(op.op_id, merged.status, state.rev, op.id, show=show, seq=state.seq)


def _faults(known: Known, op: Op, state: State | None, server_writes: bool) -> list[tuple[str, str]]:
    """Say what will never work about an operation, as (JSON pointer, what would be right)."""
    if op.id in known.elsewhere:
        return [("/id", "There is no such record in this plot.")]
    if op.kind == "del":
        return []
    type_name = (state.type if state is not None else "") or op.type
    if op.kind == "put" and not op.set:
        return [("/set", "Say what to set: at least one field.")]
    if not type_name:
        # An edit of a record that a restore took away, and that does not say its type, is kept all the same:
        # the operation that made the record comes back from the phone that sent it.
        return [] if op.base_rev > 0 or not op.set else [("/type", "Say of which type the new record is.")]
    if state is not None and state.type and op.type is not None and op.type != state.type:
        return [("/type", f"This record is a {state.type}; its type can't be changed.")]
    found = RECORD_TYPES.get(type_name)
    if found is not None and found.server_written and not server_writes:
        return [("/type", f"A {type_name} is written by the server only.")]
    if op.checked and type_name == op.type:
        return []
    # A later edit of a record that a restore took away may come before the operation that made it.
    creating = state is None and op.base_rev == 0
    return [(fault.pointer, fault.detail) for fault in check_set(type_name, op.set, creating=creating)]


def _problem(faults: list[tuple[str, str]]) -> dict[str, Any]:
    return {
        "type": "/problems/validation",
        "title": "Value not allowed",
        "status": 422,
        "detail": "; ".join(f"{pointer}: {detail}" for pointer, detail in faults)[:1000],
        "errors": [{"pointer": pointer, "detail": detail} for pointer, detail in faults],
    }
