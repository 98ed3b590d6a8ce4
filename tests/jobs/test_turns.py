"""When a plot is looked at: each quarter once, new records at once, sensibly while clocks jump and servers sleep."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from flask import Flask

from tests.jobs.small_plot import FROZE, NOW, TurnedClock, rows, small_plot
from tests.store.sender import put
from underboard.core.warnings import RULES
from underboard.core.warnings.decide import warning_id
from underboard.jobs.scheduler import JumpWatch
from underboard.store import job_runs

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)


def done(app: Flask) -> list[str]:
    return [
        row[0] for row in rows(app, "SELECT CAST(slot AS TEXT) FROM job_run WHERE state = 'done' ORDER BY 1")
    ]


def test_a_quarter_is_run_once_and_new_records_within_the_minute(database_app: Flask) -> None:
    plot = small_plot()
    turns = plot.turns()
    run = []
    for minute in range(31):
        if minute == 20:
            plot.read(-1.5, NOW - 11 * HOUR)
        plot.clock.at = NOW + minute * MINUTE
        run += [(minute, len(passed.changes)) for passed in turns.run_due()]
    # 18:00, 18:15, the record's minute, 18:30; what a pass writes itself is no news to the next
    assert run == [(0, 0), (15, 0), (20, 1), (30, 0)]


def test_a_turn_that_comes_twice_does_nothing_the_second_time(database_app: Flask) -> None:
    plot = small_plot()
    plot.read(-1.0, NOW - 10 * HOUR)
    turns = plot.turns()
    assert [len(one.changes) for one in turns.run_due()] == [1]
    seq = rows(database_app, "SELECT seq FROM sync_clock")
    assert turns.run_due() == []
    plot.clock.turn(timedelta(minutes=15))
    assert [len(one.changes) for one in turns.run_due()] == [0]
    assert rows(database_app, "SELECT seq FROM sync_clock") == seq


def test_cost_follows_new_records(database_app: Flask) -> None:
    plot = small_plot()
    for day in range(300):
        plot.read(5.0, NOW - timedelta(days=day, hours=10))
    turns = plot.turns()
    (first,) = turns.run_due()
    assert first.read == 303
    plot.read(4.0, NOW - 9 * HOUR)
    plot.clock.turn(MINUTE)
    (second,) = turns.run_due()
    assert second.read == 1
    assert len(second.facts.readings) == 301


def test_after_a_downtime_the_newest_quarter_is_run_and_what_is_over_stays_silent(
    database_app: Flask,
) -> None:
    plot = small_plot()
    turns = plot.turns()
    turns.run_due()
    nights = [NOW + timedelta(days=n, hours=10) for n in range(14)]
    for morning in nights:
        plot.read(-2.0, morning)
    plot.clock.at = NOW + timedelta(days=13, hours=10, minutes=37)
    (passed,) = turns.run_due()
    assert len(done(database_app)) == 2
    assert len(plot.warnings()) == 14
    # the last night ends at 09:00, which is 07:00 UTC: at 04:37 UTC it is the one that still can be told
    loud = [key for key, body in plot.warnings().items() if body["loud"]]
    assert loud == ["2026-05-26"]
    assert passed.messages == 1


def test_a_frost_that_is_learned_of_late_is_noted_and_not_shouted(database_app: Flask) -> None:
    plot = small_plot()
    turns = plot.turns()
    turns.run_due()
    plot.clock.turn(timedelta(days=6))
    plot.read(-3.0, NOW + timedelta(hours=11))
    turns.run_due()
    (warning,) = plot.warnings().values()
    assert (warning["key"], warning["loud"], warning["urgency"]) == ("2026-05-13", False, "Past")
    assert rows(database_app, "SELECT count(*) FROM delivery") == [(0,)]


def test_a_frost_of_days_ago_by_the_real_rules_is_noted_and_not_shouted(database_app: Flask) -> None:
    """The phone was away: evening, two mornings and a tender crop arrive five days after the night."""
    plot = small_plot()
    turns = plot.turns(tuple(RULES.values()))
    turns.run_due()
    night = datetime(2026, 5, 13, 19, 0, tzinfo=UTC)
    evening = {"observed_at": night.isoformat(), "sky": "clear", "wind": "calm"}
    evening |= {"air": {"value": 2.0, "unit": "degC"}, "dew": {"value": -4.0, "unit": "degC"}}
    crop = {"kind": "tomato", "place_id": plot.place_id, "started_on": "2026-05-01"}
    plot.clock.at = night + timedelta(days=5)
    plot.phone.push(put(evening, type="evening"), put(crop, type="crop"))
    plot.read(4.0, night - timedelta(hours=13))
    plot.read(-3.0, night + timedelta(hours=11))
    turns.run_due()
    frost = [body for body in plot.warnings().values() if body["rule"] == "frost"]
    assert [(body["key"], body["loud"]) for body in frost] == [("2026-05-13", False)]
    assert frost[0]["numbers"]
    told = "SELECT warning_id FROM delivery"
    raised = {row[0] for row in rows(database_app, told)}
    assert warning_id(plot.plot_id, "frost", "2026-05-13") not in raised


def test_a_correction_that_comes_late_changes_the_night_it_is_about(database_app: Flask) -> None:
    plot = small_plot()
    reading = plot.read(-3.0, NOW - 10 * HOUR)
    turns = plot.turns()
    turns.run_due()
    plot.phone.push(
        {
            "op_id": "01939b00-0000-7000-8000-0000000000f1", "kind": "put", "id": reading, "base_rev": 1,
            "set": {"min": {"value": 3.0, "unit": "degC"}},
        }
    )  # fmt: skip
    plot.clock.turn(MINUTE)
    turns.run_due()
    (warning,) = plot.warnings().values()
    assert warning["ended_at"] == plot.clock.at.isoformat()


def test_a_clock_an_hour_ahead_and_back_runs_no_slot_twice(database_app: Flask) -> None:
    plot = small_plot()
    turns = plot.turns()
    ran = []
    steps = [NOW, NOW + HOUR, NOW + HOUR + 15 * MINUTE, NOW + 16 * MINUTE, NOW + 30 * MINUTE, NOW + HOUR]
    for at in [*steps, NOW + HOUR + 15 * MINUTE, NOW + HOUR + 30 * MINUTE]:
        plot.clock.at = at
        ran.append(len(turns.run_due()))
    # back at 18:16 the quarter 18:15 was never run, so it is; 19:00 and 19:15 were, and are not again
    assert ran == [1, 1, 1, 1, 1, 0, 0, 1]
    assert len(done(database_app)) == len(set(done(database_app))) == 6


def test_records_are_looked_at_although_the_clock_went_back(database_app: Flask) -> None:
    plot = small_plot()
    turns = plot.turns()
    plot.clock.at = NOW + HOUR
    turns.run_due()
    plot.clock.at = NOW + 3 * MINUTE
    turns.run_due()
    plot.read(-1.0, NOW - 10 * HOUR)
    plot.clock.turn(MINUTE)
    turns.run_due()
    assert len(plot.warnings()) == 1


def test_a_clock_that_was_a_year_ahead_does_not_stop_the_job_for_a_year(database_app: Flask) -> None:
    plot = small_plot()
    turns = plot.turns()
    plot.clock.at = NOW + timedelta(days=365)
    assert len(turns.run_due()) == 1
    plot.clock.at = NOW
    assert len(turns.run_due()) == 1
    job_runs.prune(NOW)
    plot.clock.at = NOW + timedelta(days=365)
    assert len(turns.run_due()) == 1


def test_the_watcher_notices_a_clock_put_back_and_no_other() -> None:
    clock = TurnedClock()
    watch = JumpWatch(clock)
    clock.turn(20 * MINUTE)
    assert not watch.went_back()
    clock.at += HOUR
    assert not watch.went_back()
    clock.at -= HOUR
    assert watch.went_back()
    assert not watch.went_back()


@pytest.mark.parametrize(
    ("zone", "change"),
    [
        ("Europe/Berlin", "2026-03-29T01:00"),
        ("Europe/Berlin", "2026-10-25T01:00"),
        ("Australia/Lord_Howe", "2026-10-03T15:30"),
        ("Australia/Lord_Howe", "2026-04-04T15:00"),
    ],
)
def test_each_quarter_once_while_the_clocks_change(database_app: Flask, zone: str, change: str) -> None:
    """Asked every five minutes from two hours before to two hours after: 16 quarters pass, whatever is shown."""
    plot = small_plot(zone)
    turns = plot.turns([FROZE])
    moment = datetime.fromisoformat(change).replace(tzinfo=UTC)
    plot.clock.at = moment - 2 * HOUR - MINUTE
    turns.run_due()
    ran = []
    for step in range(48):
        plot.clock.at = moment - 2 * HOUR + step * 5 * MINUTE
        ran += [plot.clock.at for _ in turns.run_due()]
    assert ran == [moment - 2 * HOUR + n * 15 * MINUTE for n in range(16)]


def test_one_plot_that_fails_does_not_silence_another(database_app: Flask) -> None:
    bad, good = small_plot(), small_plot()
    good.read(-1.0, NOW - 10 * HOUR)
    good.clock = bad.clock

    def explode(facts: object, settings: object, now: datetime) -> object:
        if facts.plot.id == bad.plot_id:  # type: ignore[attr-defined]
            raise ZeroDivisionError("a rule with a mistake")
        return FROZE.run(facts, settings, now)  # type: ignore[arg-type]

    turns = bad.turns([replace(FROZE, run=explode)])
    (passed,) = turns.run_due()
    assert passed.plot_id == good.plot_id
    (run,) = job_runs.runs("warn", bad.plot_id)
    assert (run.state, run.fault) == ("failed", "ZeroDivisionError: a rule with a mistake")
    assert turns.run_due() == []
    bad.clock.turn(15 * MINUTE)
    mended = bad.turns([FROZE])
    assert {one.plot_id for one in mended.run_due()} == {bad.plot_id, good.plot_id}


def test_every_night_old_deletions_and_old_runs_are_forgotten(database_app: Flask) -> None:
    plot = small_plot()
    turns = plot.turns()
    turns.run_due()
    assert turns.tidy() == 1
    assert turns.tidy() == 0
    plot.clock.at = NOW + timedelta(days=5)
    turns.run_due()
    assert turns.tidy() == 1
    assert [run.slot for run in job_runs.runs("warn", plot.plot_id)] == [plot.clock.at]
    # at 03:30 by the plot's clock, which is 01:30 UTC
    plot.clock.at = datetime(2026, 5, 18, 1, 29, tzinfo=UTC)
    assert turns.tidy() == 0
    plot.clock.turn(MINUTE)
    assert turns.tidy() == 1


def test_a_server_that_does_not_lead_steps_in_when_something_is_late(database_app: Flask) -> None:
    plot = small_plot()
    turns = plot.turns()
    assert turns.run_due(late_by=3 * MINUTE) == []
    plot.clock.turn(3 * MINUTE)
    assert len(turns.run_due(late_by=3 * MINUTE)) == 1
