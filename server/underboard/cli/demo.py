"""`underboard demo`: an invented plot with two seasons, pushed as three phones would have."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import groupby
from operator import itemgetter
from typing import Any

from underboard.cli.opening import add_command, answer, opened, settings_of

SEED = 20260311
BATCH = 500


def add(commands: Any) -> None:
    parser = add_command(commands, "demo", "Add an invented plot with two seasons.", run)
    parser.add_argument("--seed", type=int, default=SEED, help="another seed tells another story")


def run(asked: argparse.Namespace) -> int:
    settings = settings_of(asked)
    with opened(settings):
        plot_id, count = fill(asked.seed)
    text = (
        f"An invented plot is ready: {plot_id}, {count} records of two seasons. Nothing in it was measured."
    )
    return answer(asked, {"plot_id": plot_id, "operations": count}, text)


def fill(seed: int = SEED) -> tuple[str, int]:
    """Make a plot and push the scenario into it; return its id and the number of operations."""
    from underboard.core.sync.envelope import PushEnvelope, read_op
    from underboard.exchange.demo import member_names, scenario_ops
    from underboard.store import people, sync_store

    now = datetime.now(UTC)
    plot_id = people.create_plot()
    phones = [people.add_device(plot_id, phone, role, now).device_id for _, role, phone in member_names()]
    epoch = sync_store.epoch_of(plot_id)
    count = 0
    for device_id, said in groupby(scenario_ops(plot_id, phones, now.date(), seed), key=itemgetter(0)):
        for batch in _batches(op for _, op in said):
            ops = tuple(read_op({**op, "base_epoch": epoch}) for op in batch)
            stored = sync_store.push(plot_id, device_id, PushEnvelope(plot_id, epoch, now, ops), now)
            refused = [result for result in stored.results if result["status"] in ("rejected", "retry")]
            if refused:
                raise RuntimeError(f"the demo's own record was refused: {refused[0]}")
            count += len(ops)
    return plot_id, count


def _batches(ops: Iterator[dict[str, Any]]) -> Iterator[list[dict[str, Any]]]:
    batch: list[dict[str, Any]] = []
    for op in ops:
        batch.append(op)
        if len(batch) == BATCH:
            yield batch
            batch = []
    if batch:
        yield batch
