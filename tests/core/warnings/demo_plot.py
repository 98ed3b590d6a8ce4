"""The invented demo plot as records on the wire, made by the real merge rules in memory."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from functools import cache
from typing import Any

from underboard.core.sync.envelope import read_op
from underboard.core.sync.plan import Known, plan_push
from underboard.core.sync.terms import Change, Op, State
from underboard.core.warnings.digest import Digest, begin, take
from underboard.exchange.demo import scenario_ops

PLOT = "0198f000-0000-7000-8000-000000000001"
DEVICES = tuple(f"0198f000-0000-7000-8000-0000000000d{n}" for n in range(3))
TODAY = date(2026, 11, 1)


@cache
def demo_records(today: date = TODAY) -> tuple[dict[str, Any], ...]:
    """Every record of the demo plot in the form of pull, in the order of its last change."""
    states: dict[str, State] = {}
    logs: dict[str, list[Change]] = {}
    seq = 0
    for device_id, said in scenario_ops(PLOT, DEVICES, today):
        op = read_op({**said, "base_epoch": "e0"})
        assert isinstance(op, Op), op
        touched = {op.id: states[op.id]} if op.id in states else {}
        plan = plan_push(Known("e0", seq, {}, touched, {op.id: logs.get(op.id, [])}), [op], device_id)
        seq = plan.seq
        for record_id in list(plan.made):
            plan.unfold(record_id, device_id)
        states.update(plan.states)
        for entry in plan.log:
            logs.setdefault(entry.record_id, []).append(entry.change)
    return tuple(
        {
            "id": state.id,
            "type": state.type,
            "deleted": state.deleted,
            "body": state.body,
            "conflicts": [{"id": one.id, "set": dict(one.set)} for one in state.conflicts.values()],
        }
        for state in sorted(states.values(), key=lambda state: state.seq)
    )


def digest_of_records(records: Iterable[Mapping[str, Any]], plot_id: str = PLOT) -> Digest:
    """A fresh digest of all records."""
    held = list(records)
    plot = next(one for one in held if one["type"] == "plot")
    digest = begin(plot_id, plot["body"])
    take(digest, held)
    return digest
