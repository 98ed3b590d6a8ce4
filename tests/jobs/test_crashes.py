"""A server killed at any point of a pass, or so slow that it is robbed: the effects are those of one pass."""

from __future__ import annotations

import signal
from collections.abc import Mapping
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask

from tests.jobs.runner import POINTS
from tests.jobs.small_plot import FROZE, NOW, QUARTER, SmallPlot, rows, small_plot
from tests.jobs.test_many_runners import runners
from underboard.store import job_runs
from underboard.store.database import writing
from underboard.store.server_records import lock_plot

LOWS = {1: -2.0, 2: 1.5, 3: -0.5, 4: 0.0, 5: -4.0}
"""Days before the 12th of May → lowest reading at 08:00 UTC [°C]."""


def filled() -> SmallPlot:
    plot = small_plot()
    for days, low in LOWS.items():
        plot.read(low, NOW - timedelta(days=days, hours=10))
    return plot


def expected(ended_quarter: bool) -> Mapping[str, Mapping[str, Any]]:
    """What the plot's warnings must be after 18:00, and after 18:15 when the quarter's has ended. By hand."""
    nights = {"2026-05-11": -2.0, "2026-05-09": -0.5, "2026-05-07": -4.0}
    frost = {
        night: {"headline": f"It froze on {night}: {low} °C.", "loud": False, "ended": False, "rev": 1}
        for night, low in nights.items()
    }
    hour = {"headline": f"It is {NOW.isoformat()}.", "loud": True, "ended": ended_quarter}
    return {**frost, NOW.isoformat(): {**hour, "rev": 2 if ended_quarter else 1}}


def seen(plot: SmallPlot) -> dict[str, dict[str, Any]]:
    return {
        key: {
            "headline": body["headline"],
            "loud": body["loud"],
            "ended": bool(body.get("ended_at")),
            "rev": body["rev"],
        }
        for key, body in plot.warnings().items()
    }


@pytest.mark.parametrize("point", POINTS)
def test_killed_at_any_point_the_next_turn_finishes(
    database_app: Flask, database_url: str, point: str
) -> None:
    plot = filled()
    with runners(database_url, 1, point) as (victim,):
        assert victim.stdin is not None and victim.stdout is not None
        victim.stdin.write(f"{NOW.isoformat()}\n")
        victim.stdin.flush()
        assert victim.wait(150) == -signal.SIGKILL
    after_commit = point == "committed"
    assert seen(plot) == (expected(False) if after_commit else {})
    # the lease of the dead runner is over two minutes later
    plot.clock.at = NOW + timedelta(minutes=1, seconds=59)
    turns = plot.turns((FROZE, QUARTER))
    assert turns.run_due() == []
    plot.clock.at = NOW + timedelta(minutes=2)
    assert len(turns.run_due()) == (0 if after_commit else 1)
    assert seen(plot) == expected(False)
    assert rows(database_app, "SELECT count(*), count(DISTINCT id) FROM delivery") == [(1, 1)]
    (run,) = job_runs.runs("warn", plot.plot_id)
    assert (run.state, run.attempt) == ("done", 1 if after_commit else 2)
    # and nothing is left over for the turn after
    seq = rows(database_app, "SELECT seq FROM sync_clock")
    plot.clock.at = NOW + timedelta(minutes=3)
    assert turns.run_due() == []
    assert rows(database_app, "SELECT seq FROM sync_clock") == seq


def test_killed_and_found_a_quarter_later_the_newer_slot_is_run(
    database_app: Flask, database_url: str
) -> None:
    plot = filled()
    with runners(database_url, 1, "written") as (victim,):
        assert victim.stdin is not None
        victim.stdin.write(f"{NOW.isoformat()}\n")
        victim.stdin.flush()
        victim.wait(150)
    plot.clock.at = NOW + timedelta(minutes=15)
    plot.turns((FROZE,)).run_due()
    assert sorted(plot.warnings()) == ["2026-05-07", "2026-05-09", "2026-05-11"]
    assert [run.state for run in job_runs.runs("warn", plot.plot_id)] == ["done", "passed over"]


def test_a_runner_that_was_robbed_while_it_lived_writes_nothing(database_app: Flask) -> None:
    """It falls asleep between deciding and writing; another one steals its slot and finishes; then it wakes."""
    plot = filled()
    thief = plot.turns((FROZE, QUARTER))
    stolen: list[int] = []

    def fall_asleep(point: str) -> None:
        if point == "decided" and not stolen:
            plot.clock.turn(timedelta(minutes=3))
            stolen.append(0)
            stolen[0] = len(thief.run_due())

    sleeper = plot.turns((FROZE, QUARTER), mark=fall_asleep)
    assert sleeper.run_due() == []
    assert stolen == [1]
    assert seen(plot) == expected(False)
    (run,) = job_runs.runs("warn", plot.plot_id)
    assert (run.state, run.attempt) == ("done", 2)
    assert rows(database_app, "SELECT count(*) FROM delivery") == [(1,)]


def test_a_runner_that_was_robbed_by_one_who_has_not_finished_writes_nothing(database_app: Flask) -> None:
    plot = filled()

    def robbed(point: str) -> None:
        if point == "decided":
            plot.clock.turn(timedelta(minutes=3))
            assert job_runs.claim("warn", plot.plot_id, NOW, plot.clock.at, timedelta(minutes=2)) is not None

    assert plot.turns((FROZE,), mark=robbed).run_due() == []
    assert plot.warnings() == {}
    (run,) = job_runs.runs("warn", plot.plot_id)
    assert (run.state, run.attempt) == ("running", 2)


def test_records_that_come_between_reading_and_writing_are_seen_by_the_next_turn(database_app: Flask) -> None:
    plot = filled()

    def push(point: str) -> None:
        if point == "decided" and len(seen(plot)) == 0:
            plot.read(-7.0, NOW - timedelta(days=6, hours=10))

    plot.turns((FROZE,), mark=push).run_due()
    assert "2026-05-06" not in plot.warnings()
    plot.clock.turn(timedelta(minutes=1))
    plot.turns((FROZE,)).run_due()
    assert "2026-05-06" in plot.warnings()


def test_a_pass_that_a_person_asked_for_in_between_makes_the_job_read_again(database_app: Flask) -> None:
    plot = filled()
    asked: list[int] = []

    def ask(point: str) -> None:
        if point == "decided" and not asked:
            asked.append(1)
            plot.turns((FROZE,)).passing.run(plot.plot_id, NOW)

    (passed,) = plot.turns((FROZE,), mark=ask).run_due()
    assert passed.changes == ()
    assert {key: body["rev"] for key, body in plot.warnings().items()} == dict.fromkeys(
        ("2026-05-11", "2026-05-09", "2026-05-07"), 1
    )


def test_the_fence_is_checked_before_anything_is_written(database_app: Flask) -> None:
    plot = filled()
    old = job_runs.claim("warn", plot.plot_id, NOW, NOW, timedelta(minutes=2))
    assert old is not None
    new = job_runs.claim("warn", plot.plot_id, NOW, NOW + timedelta(minutes=2), timedelta(minutes=2))
    assert new is not None and (new.fence, new.attempt) == (2, 2)
    with pytest.raises(Exception, match="belongs to somebody else"), writing() as connection:
        lock_plot(connection, plot.plot_id)
        job_runs.finish(connection, old, NOW)
    job_runs.give_up(old, NOW, "too late to say so")
    with writing() as connection:
        lock_plot(connection, plot.plot_id)
        job_runs.finish(connection, new, NOW)
    with pytest.raises(Exception, match="belongs to somebody else"), writing() as connection:
        lock_plot(connection, plot.plot_id)
        job_runs.finish(connection, new, NOW)
