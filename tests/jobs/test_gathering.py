"""Facts carried on from the pass before are the facts made anew, whatever came in between."""

from __future__ import annotations

import random
from datetime import timedelta

import pytest
from flask import Flask

from tests.core.warnings.demo_plot import PLOT, demo_records
from tests.jobs.small_plot import FROZE, NOW, small_plot
from underboard.core.warnings.digest import begin, take
from underboard.core.warnings.facts import HouseFacts
from underboard.core.warnings.facts_of import facts_of
from underboard.jobs.gathering import gather
from underboard.jobs.memory import Memory
from underboard.store import summaries


@pytest.mark.parametrize("seed", range(3))
def test_facts_carried_on_are_those_made_anew(seed: int) -> None:
    chance = random.Random(seed)
    records = [one for one in demo_records() if one["type"] != "plot"]
    plot = next(one for one in demo_records() if one["type"] == "plot")
    chance.shuffle(records)
    digest = begin(PLOT, plot["body"])
    take(digest, records[:3000])
    facts = facts_of(digest)
    by_type: dict[str, list[dict[str, object]]] = {}
    for record in records[3000:]:
        by_type.setdefault(record["type"], []).append(record)
    for _ in range(6):
        types = chance.sample(sorted(by_type), 2)
        batch = [record for name in types for record in by_type[name][:40]]
        gone = [{**record, "deleted": True} for record in batch[::5]]
        take(digest, [*batch, *gone])
        facts = facts_of(digest, None, facts, frozenset(types))
        assert facts == facts_of(digest)


def test_what_is_remembered_and_what_is_read_back_agree(database_app: Flask) -> None:
    """The same passes with a memory and without one, each time against a plot read from nothing."""
    plot = small_plot()
    passing = plot.turns((FROZE,)).passing
    for step in range(8):
        if step % 3 != 2:
            plot.read(-1.0 + step / 4, NOW - timedelta(days=step, hours=10))
        now = NOW + timedelta(hours=9 * step)
        passed = passing.run(plot.plot_id, now)
        held = gather(plot.plot_id, now, HouseFacts(), passing.memory)
        read = gather(plot.plot_id, now, HouseFacts())
        assert held.facts == read.facts and held.taught == read.taught
        assert (held.read, read.read) == (0, 0)
        assert len(passed.facts.readings) == sum(n % 3 != 2 for n in range(step + 1))


def test_memory_is_bounded_and_an_older_version_is_not_used(database_app: Flask) -> None:
    plots = [small_plot() for _ in range(4)]
    passing = plots[0].turns((FROZE,)).passing
    for plot in plots:
        passing.run(plot.plot_id, NOW)
    small = Memory(most=50)
    for plot in plots:
        kept = passing.memory.take(plot.plot_id)
        assert kept is not None
        small.put(plot.plot_id, kept)
    assert [small.take(plot.plot_id) is not None for plot in plots] == [False, False, True, True]
    # another server ran a pass: what this one remembers is of an older version
    mine, other = plots[0].turns((FROZE,)).passing, plots[0].turns((FROZE,)).passing
    mine.run(plots[0].plot_id, NOW)
    plots[0].read(-1.0, NOW - timedelta(hours=10))
    other.run(plots[0].plot_id, NOW + timedelta(minutes=15))
    passed = mine.run(plots[0].plot_id, NOW + timedelta(minutes=30))
    assert passed.changes == () and len(passed.facts.standing) == 1
    assert summaries.read(plots[0].plot_id, "warnings").summary.version == 4
