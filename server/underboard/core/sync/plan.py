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
from underboard.core.sync.merge import Rules
from underboard.core.sync.terms import Change, Conflict, Ledger, Op, Result, State

SERVER_FAULT: Mapping[str, Any] = {
    "type": "/problems/server-fault",
    "title": "The server made a mistake",
    "status": 500,
    "detail": "The server could not store this one. It stays on the phone and is tried again later.",
}

_SERVER_WRITTEN = frozenset(name for name, found in RECORD_TYPES.items() if found.server_written)


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


@dataclass(slots=True)
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
    clock_suspect: bool = False
    results: list[Result] = field(default_factory=list)
    made: dict[str, tuple[Op, int]] = field(default_factory=dict)
    """Records that are new and were not touched again: what made each, and its number. Nothing else is written of them:
    the operation is state, change and ledger entry."""
    states: dict[str, State] = field(default_factory=dict)
    created: set[str] = field(default_factory=set)
    log: list[LogEntry] = field(default_factory=list)
    conflicts: list[tuple[str, Conflict]] = field(default_factory=list)
    closed: list[tuple[str, str]] = field(default_factory=list)
    ledger: list[tuple[Op, Result]] = field(default_factory=list)
    faults: list[tuple[str, Exception]] = field(default_factory=list)
    """Operations (by id) that ran into a mistake of ours; the store logs them."""

    def create(self, op: Op, seq: int, device_id: str) -> State:
        """Make a record with an entry of its own in the log."""
        # A later operation works on a copy, so the body may be the very object that was sent.
        state = State(op.id, op.type or "", 1, seq, False, op.set, 0, self.clock_suspect)
        self.created.add(op.id)
        self.states[op.id] = state
        change = Change(op.op_id, 1, device_id, op.kind, op.set.keys())
        self.log.append(LogEntry(change, op.id, op.set, op.text, {}))
        return state

    def unfold(self, record_id: str, device_id: str) -> State:
        """Give what made a record of this push entries of its own in log and ledger."""
        op, seq = self.made.pop(record_id)
        self.ledger.append((op, Result(op.op_id, "applied", 1, op.id, False, None, seq)))
        return self.create(op, seq, device_id)


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
        Taken under the plot's lock; its states are changed in place.
    clock_suspect
        The phone's clock was far from the server's when it sent: marked on what it writes, never refused.
    server_writes
        Allows record types that only the server writes.
    """
    planner = _Planner(known, device_id, rules or Rules(), clock_suspect, server_writes)
    for op in ops:
        try:
            result = planner.decide(op)
        except Exception as fault:  # one poisoned operation must never block the rest of a phone's queue
            planner.plan.faults.append((op.op_id, fault))
            result = Result(op.op_id, "retry", record_id=op.id, problem=SERVER_FAULT)
        planner.plan.results.append(result)
    return planner.plan


class _Planner:
    """One push on its way: what is known, and the plan so far."""

    def __init__(
        self, known: Known, device_id: str, rules: Rules, clock_suspect: bool, server_writes: bool
    ) -> None:
        self._known = known
        self._done: dict[str, tuple[Op, Result]] = {}
        self._device_id = device_id
        self._rules = rules
        self._clock_suspect = clock_suspect
        self._server_writes = server_writes
        self.plan = Plan(known.seq, clock_suspect)

    def decide(self, op: Op) -> Result:
        if self._is_plainly_new(op):
            return self._make(op)
        seen = self._seen(op.op_id)
        if seen is not None:
            repeat = self._rules.repeat(op, seen)
            if repeat is not None:
                again = repeat == "duplicate"
                return Result(op.op_id, repeat, seen.rev if again else None, op.id, again)
        if op.id in self.plan.made:  # something is done to what this push has made
            self._known.states[op.id] = self.plan.unfold(op.id, self._device_id)
        state = self._known.states.get(op.id)
        faults = self._faults(op, state)
        if faults:
            return Result(op.op_id, "rejected", record_id=op.id, problem=_problem(faults))
        if self._is_nothing(op, state):
            result = Result(op.op_id, "applied", 0, op.id)
        elif state is not None:
            result = self._merge(op, state)
        elif op.kind == "put" and not op.conflicts:
            return self._make(op)
        else:
            result = self._create(op)
        self._done[op.op_id] = done = (op, result)
        self.plan.ledger.append(done)
        return result

    def _is_plainly_new(self, op: Op) -> bool:
        """Say at one glance what the rules below come to for most operations: nothing known, nothing wrong with it."""
        known = self._known
        return (
            op.checked
            and op.kind == "put"
            and not op.conflicts
            and op.id not in known.states
            and op.id not in self.plan.made
            and op.op_id not in known.ledger
            and op.op_id not in self._done
            and op.id not in known.elsewhere
            and op.type not in _SERVER_WRITTEN
            and bool(op.set)
        )

    def _seen(self, op_id: str) -> Ledger | None:
        """Return what became of an operation of this id, in an earlier push or in this one."""
        seen = self._known.ledger.get(op_id)
        if seen is None and (done := self._done.get(op_id)):
            return Ledger(done[0].digest, done[1].status, done[1].rev or 0)
        return seen

    def _is_nothing(self, op: Op, state: State | None) -> bool:
        """Say whether there is nothing to delete, or nothing left to settle."""
        if op.kind == "del":
            return state is None or (op.id in self._known.purged and op.id not in self.plan.states)
        # A resolve that sets a value may meet a server that a restore robbed of the record: the value is kept.
        return op.kind == "resolve" and state is None and not op.set

    def _make(self, op: Op) -> Result:
        plan = self.plan
        plan.seq += 1
        plan.made[op.id] = op, plan.seq
        result = Result(op.op_id, "applied", 1, op.id, False, None, plan.seq)
        self._done[op.op_id] = op, result
        return result

    def _create(self, op: Op) -> Result:
        self.plan.seq += 1
        self._known.states[op.id] = self.plan.create(op, self.plan.seq, self._device_id)
        return Result(op.op_id, "applied", 1, op.id, False, None, self.plan.seq)

    def _merge(self, op: Op, before: State) -> Result:
        plan, known = self.plan, self._known
        state = copy.copy(before)
        state.body, state.conflicts = dict(before.body), dict(before.conflicts)
        state.type = before.type or op.type or ""
        merged = self._rules.apply(op, state, self._log_of(op.id), known.epoch, self._device_id)
        if op.id in known.purged:
            plan.created.add(op.id)
        plan.seq += 1
        state.rev, state.seq = before.rev + 1, plan.seq
        if self._clock_suspect and merged.fields:
            state.clock_suspect = True
        elif "observed_at" in merged.fields:
            state.clock_suspect = False  # a clock that is right has said when
        change = Change(op.op_id, state.rev, self._device_id, merged.log_kind, merged.fields)
        self._note(op, state, change, merged.prev)
        if merged.conflict is not None:
            plan.conflicts.append((op.id, merged.conflict))
        plan.closed += [(conflict_id, op.op_id) for conflict_id in merged.closed]
        show = merged.status != "applied"
        return Result(op.op_id, merged.status, state.rev, op.id, show, None, state.seq)

    def _log_of(self, record_id: str) -> list[Change]:
        """Return the changes that were looked up and those of this push; there is hardly ever one of these."""
        log = list(self._known.logs.get(record_id, ()))
        if record_id in self.plan.states:
            log += [entry.change for entry in self.plan.log if entry.record_id == record_id]
        return log

    def _note(self, op: Op, state: State, change: Change, prev: Mapping[str, Any]) -> None:
        self._known.states[op.id] = self.plan.states[op.id] = state
        self.plan.log.append(LogEntry(change, op.id, op.set, op.text, prev))

    def _faults(self, op: Op, state: State | None) -> list[tuple[str, str]]:
        """Say what will never work about an operation, as (JSON pointer, what would be right)."""
        if op.id in self._known.elsewhere:
            return [("/id", "There is no such record in this plot.")]
        if op.kind == "del":
            return []
        if op.kind == "put" and not op.set:
            return [("/set", "Say what to set: at least one field.")]
        type_name = (state.type if state is not None else "") or op.type
        if not type_name:
            # An edit of a record that a restore took away, and that does not say its type, is kept all the
            # same: the operation that made the record comes back from the phone that sent it.
            return (
                [] if op.base_rev > 0 or not op.set else [("/type", "Say of which type the new record is.")]
            )
        if op.type is not None and op.type != type_name:
            return [("/type", f"This record is a {type_name}; its type can't be changed.")]
        if type_name in _SERVER_WRITTEN and not self._server_writes:
            return [("/type", f"A {type_name} is written by the server only.")]
        if op.checked and op.type == type_name:
            return []
        # A later edit of a record that a restore took away may come before the operation that made it: from a phone
        # that saw the record on the server, or from one that was handed the edit alone.
        follows = bool(op.after) and op.base_epoch not in (None, self._known.epoch)
        creating = state is None and op.base_rev == 0 and not follows
        return [(fault.pointer, fault.detail) for fault in check_set(type_name, op.set, creating=creating)]


def _problem(faults: list[tuple[str, str]]) -> dict[str, Any]:
    return {
        "type": "/problems/validation",
        "title": "Value not allowed",
        "status": 422,
        "detail": "; ".join(f"{pointer}: {detail}" for pointer, detail in faults)[:1000],
        "errors": [{"pointer": pointer, "detail": detail} for pointer, detail in faults],
    }
