"""Two seasons of the invented plot under a clock that is turned, held against a plain reckoning of the same records:
each warning once, none twice, none missed, none changed without need.

A few days here, with the late frost of April in them; all of it by `tests/jobs/run`.
"""

from __future__ import annotations

import os
from collections import defaultdict
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask

from tests.jobs.oracle import Oracle
from tests.jobs.seasons import Seasons
from tests.jobs.small_plot import TurnedClock, rows
from underboard.core.warnings.facts import HouseFacts
from underboard.jobs.passing import Passing
from underboard.jobs.turns import Turns
from underboard.store import pulling

DAYS = int(os.environ.get("JOB_DAYS", "6"))
FROM = datetime(2026, 4, 21, tzinfo=UTC)


def live(seasons: Seasons, oracle: Oracle, since: datetime, until: datetime) -> int:
    """Let time pass; return how many passes were made."""
    clock = TurnedClock()
    turns = Turns(Passing(lambda _plot: HouseFacts()), clock)
    arrived = datetime(2024, 1, 1, tzinfo=UTC)
    passes = 0
    for at in seasons.moments(since, until):
        oracle.know(seasons.arrive(arrived, at))
        arrived = clock.at = at
        passes += len(turns.run_due())
        oracle.look(at)
    return passes


@pytest.mark.timeout(3600)
def test_each_warning_once_none_twice_none_missed(database_app: Flask) -> None:
    seasons = Seasons()
    oracle = Oracle(seasons.plot_id)
    whole = DAYS > 600
    since = seasons.first() if whole else FROM
    until = since + timedelta(days=DAYS)
    passes = live(seasons, oracle, since, until)
    assert passes == len(list(seasons.moments(since, until)))
    found = {one["id"]: one for one in pulling.records_of(seasons.plot_id, ["warning"])}
    assert {body["body"]["rule"] + " " + body["body"]["key"] for body in found.values()} == {
        f"{one.body['rule']} {one.body['key']}" for one in oracle.warnings.values()
    }
    for id_, expected in oracle.warnings.items():
        body = {"ended_at": None, **found[id_]["body"]}
        assert {name: body[name] for name in expected.body} == expected.body, expected.history
        assert found[id_]["rev"] == len(expected.history), expected.history
    told = defaultdict(set)
    for warning_id, stage in rows(database_app, "SELECT warning_id, stage FROM delivery"):
        assert stage not in told[warning_id]
        told[warning_id].add(stage)
    assert told == {id_: one.told for id_, one in oracle.warnings.items() if one.told}
    assert len(oracle.warnings) > 3
