"""A server in memory around the real rules: what the store does, without a database."""

from __future__ import annotations

import copy
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from underboard.core.sync.epochs import epoch_after
from underboard.core.sync.merge import Rules
from underboard.core.sync.plan import Known, Plan, plan_push
from underboard.core.sync.terms import Change, Ledger, Op, Result, State, write_fields


def op(
    op_id: str,
    record_id: str,
    set_: Mapping[str, Any] | None = None,
    *,
    kind: Any = "put",
    base: int = 0,
    after: Sequence[str] = (),
    conflicts: Sequence[str] = (),
    base_epoch: str = "e0",
    type_: str | None = "note",
) -> Op:
    """Write an operation down in one line."""
    fields = dict(set_ or {})
    return Op(
        op_id=op_id,
        kind=kind,
        id=record_id,
        base_rev=base,
        set=fields,
        type=type_,
        base_epoch=base_epoch,
        after=frozenset(after),
        conflicts=tuple(conflicts),
        text=write_fields(fields),
    )


@dataclass
class SmallServer:
    """Keeps states, change log and ledger; `log` remembers every committed set with its kind."""

    rules: Rules = field(default_factory=Rules)
    epoch: str = "e0"
    seq: int = 0
    states: dict[str, State] = field(default_factory=dict)
    logs: dict[str, list[Change]] = field(default_factory=dict)
    ledger: dict[str, Ledger] = field(default_factory=dict)
    committed: list[tuple[str, str, str, Mapping[str, Any]]] = field(default_factory=list)

    def push(self, *ops: Op, device: str = "phone", **more: Any) -> list[Result]:
        """Apply a push; return its results."""
        return self.plan(*ops, device=device, **more).results

    def plan(self, *ops: Op, device: str = "phone", **more: Any) -> Plan:
        known = Known(
            self.epoch,
            self.seq,
            self.ledger,
            copy.deepcopy(self.states),
            {record: list(log) for record, log in self.logs.items()},
            **more,
        )
        plan = plan_push(known, ops, device, self.rules)
        self.seq = plan.seq
        for record_id in list(plan.made):
            plan.unfold(record_id, device)
        self.states.update(plan.states)
        for entry in plan.log:
            kept = replace(entry.change, fields=frozenset(entry.change.fields))
            self.logs.setdefault(entry.record_id, []).append(kept)
            self.committed.append((entry.record_id, entry.change.op_id, entry.change.kind, entry.set))
        for acted, result in plan.ledger:
            self.ledger[acted.op_id] = Ledger(acted.digest, result.status, result.rev or 0)
        return plan

    def body(self, record_id: str) -> dict[str, Any]:
        return self.states[record_id].body

    def open(self, record_id: str) -> dict[str, Mapping[str, Any]]:
        """Open conflicts of a record: id → the set that was kept."""
        return {key: conflict.set for key, conflict in self.states[record_id].conflicts.items()}

    def snapshot(self) -> Any:
        return copy.deepcopy((self.seq, self.states, self.logs, self.ledger, self.committed, self.epoch))

    def restore(self, snapshot: Any) -> None:
        """Go back to a snapshot, with a new epoch."""
        self.seq, self.states, self.logs, self.ledger, self.committed, epoch = copy.deepcopy(snapshot)
        self.epoch = epoch_after(epoch, uuid.uuid4())
        for state in self.states.values():
            state.restored_rev = state.rev
