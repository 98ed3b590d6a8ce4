"""Slots and quiet hours by a plot's clock. Changes of the clocks from the IANA time zone database 2026:
Europe/Berlin 29 March 01:00 UTC forward, 25 October 01:00 UTC back, an hour each; Australia/Lord_Howe half an
hour at 02:00 local, 3/4 October 2026 at 15:30 UTC forward, 4/5 April 2026 at 15:00 UTC back.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from underboard.core.warnings.timing import DailyAt, EveryMinutes, QuietHours, due, moment_of, slots, zone_of

BERLIN, LORD_HOWE = ZoneInfo("Europe/Berlin"), ZoneInfo("Australia/Lord_Howe")
QUARTERS = EveryMinutes(15)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(
    ("zone", "day", "shown", "moment"),
    [
        # an ordinary day
        (BERLIN, date(2026, 5, 12), time(2, 30), "2026-05-12T00:30"),
        # skipped 02:00 to 03:00: the first moment after the gap
        (BERLIN, date(2026, 3, 29), time(2, 0), "2026-03-29T01:00"),
        (BERLIN, date(2026, 3, 29), time(2, 30), "2026-03-29T01:00"),
        (BERLIN, date(2026, 3, 29), time(3, 0), "2026-03-29T01:00"),
        # shown twice 02:00 to 03:00: the first showing, in summer time
        (BERLIN, date(2026, 10, 25), time(2, 30), "2026-10-25T00:30"),
        (BERLIN, date(2026, 10, 25), time(3, 0), "2026-10-25T02:00"),
        # skipped 02:00 to 02:30, summer time is 11 hours ahead
        (LORD_HOWE, date(2026, 10, 4), time(2, 15), "2026-10-03T15:30"),
        (LORD_HOWE, date(2026, 10, 4), time(2, 30), "2026-10-03T15:30"),
        # shown twice 01:30 to 02:00
        (LORD_HOWE, date(2026, 4, 5), time(1, 45), "2026-04-04T14:45"),
        (LORD_HOWE, date(2026, 4, 5), time(2, 0), "2026-04-04T15:30"),
    ],
)
def test_a_time_on_the_clock_is_one_moment(zone: ZoneInfo, day: date, shown: time, moment: str) -> None:
    assert moment_of(day, shown, zone) == at(moment)


@pytest.mark.parametrize(
    ("zone", "day", "expected"),
    [
        (BERLIN, date(2026, 3, 28), 96),
        (BERLIN, date(2026, 3, 29), 92),
        (BERLIN, date(2026, 10, 25), 100),
        (LORD_HOWE, date(2026, 10, 4), 94),
        (LORD_HOWE, date(2026, 4, 5), 98),
    ],
)
def test_a_day_has_a_slot_for_each_quarter_that_passes(zone: ZoneInfo, day: date, expected: int) -> None:
    start, end = moment_of(day, time(0), zone), moment_of(day + timedelta(days=1), time(0), zone)
    found = list(slots(QUARTERS, zone, start - timedelta(seconds=1), end - timedelta(seconds=1)))
    assert len(found) == len(set(found)) == expected
    assert {slot.astimezone(zone).minute for slot in found} == {0, 15, 30, 45}
    assert {b - a for a, b in pairwise(found)} == {timedelta(minutes=15)}


@pytest.mark.parametrize(
    ("zone", "change"),
    [
        (BERLIN, date(2026, 3, 29)),
        (BERLIN, date(2026, 10, 25)),
        (LORD_HOWE, date(2026, 10, 4)),
        (LORD_HOWE, date(2026, 4, 5)),
    ],
)
@pytest.mark.parametrize("shown", [time(1, 45), time(2, 0), time(2, 15), time(2, 30), time(3, 0)])
def test_a_daily_slot_comes_once_each_day_round_the_change(zone: ZoneInfo, change: date, shown: time) -> None:
    """Asked every minute from two days before to two days after, as the ticker asks."""
    schedule, last, run = DailyAt((shown,)), None, []
    now = moment_of(change - timedelta(days=2), time(0), zone)
    end = moment_of(change + timedelta(days=3), time(0), zone)
    last = due(schedule, zone, None, now)
    while now < end:
        slot = due(schedule, zone, last, now)
        if slot is not None:
            assert slot == now
            run.append(slot.astimezone(zone).date())
            last = slot
        now += timedelta(minutes=1)
    assert run == [change + timedelta(days=n) for n in range(-2, 3)]


def test_two_times_in_the_gap_come_as_one() -> None:
    both = DailyAt((time(2, 10), time(2, 50)))
    found = list(slots(both, BERLIN, at("2026-03-28T12:00"), at("2026-03-29T12:00")))
    assert found == [at("2026-03-29T01:00")]


def test_after_a_downtime_the_newest_slot_only() -> None:
    last, now = at("2026-07-01T10:00"), at("2026-07-15T10:07")
    assert due(QUARTERS, BERLIN, last, now) == at("2026-07-15T10:00")
    assert due(QUARTERS, BERLIN, at("2026-07-15T10:00"), now) is None
    assert due(DailyAt((time(3, 30),)), BERLIN, last, now) == at("2026-07-15T01:30")


def test_a_clock_that_goes_back_makes_nothing_due_again() -> None:
    assert due(QUARTERS, BERLIN, at("2026-07-15T10:00"), at("2026-07-15T09:01")) is None


QUIET = QuietHours(time(22, 0), time(6, 30))


@pytest.mark.parametrize(
    ("now", "until"),
    [
        ("2026-05-12T19:59", None),
        ("2026-05-12T20:00", "2026-05-13T04:30"),
        ("2026-05-13T04:29", "2026-05-13T04:30"),
        ("2026-05-13T04:30", None),
        # the night of the change is an hour shorter, or longer
        ("2026-03-28T22:00", "2026-03-29T04:30"),
        ("2026-10-24T22:00", "2026-10-25T05:30"),
    ],
)
def test_quiet_over_midnight(now: str, until: str | None) -> None:
    assert QUIET.until(at(now), BERLIN) == (at(until) if until else None)


def test_quiet_that_ends_in_the_hour_shown_twice_ends_at_its_first_showing() -> None:
    quiet = QuietHours(time(22, 0), time(2, 30))
    assert quiet.until(at("2026-10-25T00:10"), BERLIN) == at("2026-10-25T00:30")
    assert quiet.until(at("2026-10-25T01:10"), BERLIN) is None  # 02:10 again


def test_quiet_that_ends_in_the_gap_ends_behind_it() -> None:
    quiet = QuietHours(time(22, 0), time(2, 30))
    assert quiet.until(at("2026-03-29T00:59"), BERLIN) == at("2026-03-29T01:00")
    assert quiet.until(at("2026-03-29T01:00"), BERLIN) is None


def test_quiet_at_noon_and_quiet_that_is_none() -> None:
    noon = QuietHours.read("12:00", "13:00")
    assert noon is not None
    assert noon.until(at("2026-05-12T10:15"), BERLIN) == at("2026-05-12T11:00")
    assert noon.until(at("2026-05-12T11:00"), BERLIN) is None
    for start, end in [
        ("22:00", None),
        ("", "06:00"),
        ("25:00", "06:00"),
        ("07:00", "07:00"),
        ("ten", "two"),
    ]:
        assert QuietHours.read(start, end) is None


def test_an_unknown_zone_is_utc() -> None:
    for name in (None, "", "Mars/Olympus", "../etc", "Europe"):
        assert zone_of(name) is UTC
    assert zone_of("Europe/Berlin") == BERLIN


MOMENTS = st.integers(0, 5 * 366 * 24 * 60).map(lambda n: at("2024-01-01T00:00") + timedelta(minutes=n))
ZONES = st.sampled_from([BERLIN, LORD_HOWE, ZoneInfo("Asia/Kathmandu"), ZoneInfo("America/St_Johns"), UTC])
SCHEDULES = st.one_of(
    st.sampled_from([EveryMinutes(n) for n in (1, 5, 15, 30, 60)]),
    st.lists(st.times().map(lambda t: t.replace(second=0, microsecond=0)), min_size=1, max_size=3).map(
        lambda times: DailyAt(tuple(times))
    ),
)


@given(SCHEDULES, ZONES, MOMENTS, st.integers(0, 3 * 24 * 60))
def test_due_is_the_last_of_the_slots(
    schedule: object, zone: ZoneInfo, after: datetime, minutes: int
) -> None:
    now = after + timedelta(minutes=minutes)
    found = list(slots(schedule, zone, after, now))  # type: ignore[arg-type]
    assert found == sorted(set(found))
    assert due(schedule, zone, after, now) == (found[-1] if found else None)  # type: ignore[arg-type]
