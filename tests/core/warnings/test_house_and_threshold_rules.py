"""House rules against a calendar, and the person's own threshold against scipy and simulated plots."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.core.warnings.made_facts import DAY, ask, at, made, place, reading, station, walk
from underboard.core.agronomy import evaluate
from underboard.core.warnings.facts import DeviceFact, Facts, HouseFacts

TODAY = date(2026, 6, 15)
NOON = at(TODAY, 11)  # noon by the plot's clock, British summer time
BED = (place("bed"),)
BOARDS = tuple(station(f"b{n}") for n in range(9))
MON, WED, SAT = 0, 2, 5


def walked(days: list[date]) -> Facts:
    return made(BED, BOARDS, rounds=[walk(day, {"b0": 1}) for day in days])


def on_weekdays(*weekdays: int, until: date) -> list[date]:
    days = [until - n * DAY for n in range(80)]
    return [day for day in days if day.weekday() in weekdays]


def test_usual_weekdays_are_learned_and_a_missed_one_is_told_from_noon() -> None:
    assert TODAY.weekday() == MON
    facts = walked(on_weekdays(MON, SAT, until=TODAY - DAY))
    assert ask("round_missed", facts, NOON - timedelta(minutes=1))[0] == []
    due = ask("round_missed", facts, NOON)[0][0]
    assert due.key == TODAY.isoformat() and not due.loud
    assert "a round is usual on Monday and Saturday" in due.why
    assert due.headline == "No round was walked on 15 June 2026; the last was on 13 June 2026."
    assert ask("round_missed", facts, NOON + timedelta(days=4))[0][0].key == due.key
    assert ask("round_missed", facts, NOON + timedelta(days=15))[0] == []
    walked_late = walked([*on_weekdays(MON, SAT, until=TODAY)])
    assert ask("round_missed", walked_late, NOON)[0] == []


def test_without_a_weekday_the_longest_gap_counts() -> None:
    gaps = [2, 5, 3, 1, 4, 6, 2]
    days = [TODAY - 40 * DAY]
    for gap in gaps:
        days.append(days[-1] + gap * DAY)
    facts = walked(days)
    missed = days[-1] + 7 * DAY  # the longest gap is 6 days
    assert ask("round_missed", facts, at(missed, 10.9))[0] == []
    due = ask("round_missed", facts, at(missed, 11))[0][0]
    assert due.key == missed.isoformat() and "longest gap of the last 7 was 6 days" in due.why
    assert "too few" in ask("round_missed", walked(days[:4]), NOON)[1][0].why_not


def test_an_agreed_rhythm_and_the_season() -> None:
    facts = walked([TODAY - 3 * DAY])
    assert ask("round_missed", facts, NOON, every_days=4)[0] == []
    assert ask("round_missed", facts, NOON, every_days=3)[0][0].key == TODAY.isoformat()
    assert ask("round_missed", facts, NOON, every_days=3, first_month=7)[0] == []
    assert ask("round_missed", facts, NOON, every_days=3, first_month=11, last_month=6)[0]
    assert "No round has been walked" in ask("round_missed", walked([]), NOON)[1][0].why_not


def test_phones_backups_and_certificates() -> None:
    def house(**more: object) -> Facts:
        return made(BED, BOARDS, house=HouseFacts(**more))

    phones = (
        DeviceFact("a", "Maren's phone", "cookie", NOON - timedelta(days=2)),
        DeviceFact("b", "Ines's phone", "cookie", NOON - timedelta(days=8)),
        DeviceFact("c", "Old phone", "cookie", NOON - timedelta(days=200)),
        DeviceFact("d", "New phone", "cookie", None),
    )
    dues, _ = ask("phone_not_synced", house(devices=phones), NOON)
    assert [one.headline for one in dues] == ["Ines's phone has not synced since 7 June 2026."]
    assert len(ask("phone_not_synced", house(devices=phones), NOON, days=1)[0]) == 2
    assert ask("phone_not_synced", house(devices=phones[:1]), NOON)[0] == []

    assert ask("backup_old", house(), NOON)[0] == []
    assert ask("backup_old", house(backup_at=NOON - timedelta(days=14)), NOON)[0] == []
    due = ask("backup_old", house(backup_at=NOON - timedelta(days=14, seconds=1)), NOON)[0][0]
    assert due.headline == "The newest backup is of 1 June 2026."
    due = ask("backup_old", house(first_record_at=NOON - timedelta(days=20)), NOON)[0][0]
    assert due.key == "never" and "no backup yet" in due.headline
    assert (
        ask("backup_old", house(first_record_at=NOON - timedelta(days=20), keeps_backups=False), NOON)[0]
        == []
    )

    ends = datetime(2026, 7, 15, 12, tzinfo=UTC)
    facts = house(certificate_ends_at=ends)
    assert ask("certificate_ending", facts, ends - timedelta(days=20, seconds=1))[0] == []
    for before, severity in ((20, "Minor"), (8, "Minor"), (7, "Moderate"), (-1, "Moderate")):
        due = ask("certificate_ending", facts, ends - timedelta(days=before))[0][0]
        assert due.severity == severity and due.key == "2026-07-15" and not due.loud
    assert "ended on" in due.headline
    assert ask("certificate_ending", house(), NOON)[0] == []


def test_doubtful_readings_and_forgotten_resets() -> None:
    screen = station("post", "thermometer", exposure="screen", label="Post")

    def told(*readings: object) -> list[str]:
        facts = made(BED, (screen,), readings=readings)
        return [one.headline for one in ask("reading_implausible", facts, at(TODAY, 12))[0]]

    assert told(reading("post", TODAY, max_c=18.0, min_c=8.0)) == []
    assert told(reading("post", TODAY, max_c=81.0, min_c=8.0, flaws=("out_of_range",))) == [
        "Post, read on 15 June 2026: a figure lies outside -35 to 60 °C."
    ]
    assert told(reading("post", TODAY, max_c=18.0, min_c=8.0, reset=False)) == [
        "Post, read on 15 June 2026: it was read and not reset."
    ]
    assert told(reading("post", TODAY, current_c=18.0, reset=False)) == []
    mended = reading("post", TODAY, max_c=18.0, min_c=8.0, hour=9.5, id="z")
    assert told(reading("post", TODAY, max_c=81.0, flaws=("out_of_range",)), mended) == []
    assert told(reading("post", TODAY - 4 * DAY, max_c=81.0, flaws=("out_of_range",))) == []


def counted(numbers: list[int], day: date = TODAY) -> Facts:
    return made(BED, BOARDS, rounds=[walk(day, {f"b{n}": count for n, count in enumerate(numbers)})])


def test_no_threshold_no_round_no_news() -> None:
    assert "No threshold is set" in ask("threshold", counted([9] * 9), NOON)[1][0].why_not
    assert "no valid round" in ask("threshold", made(BED, BOARDS), NOON, mean_per_board=2)[1][0].why_not
    old = counted([9] * 9, TODAY - 11 * DAY)
    assert "too long ago" in ask("threshold", old, NOON, mean_per_board=2)[1][0].why_not


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(0, 15), min_size=6, max_size=9), st.floats(0.3, 10))
def test_it_speaks_as_soon_as_the_mean_is_above(numbers: list[int], threshold: float) -> None:
    dues, helds = ask("threshold", counted(numbers), NOON, mean_per_board=threshold)
    mean = float(np.mean(numbers))
    found = (dues or helds)[0].numbers
    assert found["mean_per_board"] == pytest.approx(mean)
    summary = evaluate("count-summary", {"counts": numbers})
    assert found["mean_per_board_low"] == pytest.approx(summary["mean_low_calibrated"], rel=1e-6)
    if abs(mean - threshold) > 1e-9:
        assert bool(dues) == (mean > threshold)
    if mean > 0 and found["mean_per_board_high"]:
        edge = found["mean_per_board_low" if threshold < mean else "mean_per_board_high"]
        width = abs(math.log(edge / mean)) / stats.norm.ppf(0.975)
        assert found["chance_above"] == pytest.approx(
            stats.norm.cdf(math.log(mean / threshold) / width), abs=1e-9
        )


def test_the_chance_is_about_right_on_simulated_plots() -> None:
    """Of plots whose chance is said to be 80 to 95 %, about that many do lie above (prior flat on the log mean)."""
    chance = np.random.default_rng(6)
    said, above = [], []
    for _ in range(1500):
        mean = float(np.exp(chance.uniform(np.log(0.8), np.log(12))))
        counts = [int(x) for x in chance.negative_binomial(1.0, 1 / (1 + mean), 9)]
        dues, helds = ask("threshold", counted(counts), NOON, mean_per_board=3.0)
        p = (dues or helds)[0].numbers["chance_above"]
        if 0.8 <= p <= 0.95:
            said.append(p)
            above.append(mean > 3.0)
    assert len(said) > 100
    assert abs(float(np.mean(above)) - float(np.mean(said))) < 0.1


def test_few_boards_disputes_and_a_lasting_warning() -> None:
    facts = made(BED, BOARDS, rounds=[walk(TODAY, {"b0": 5, "b1": (3, 12), "b2": 4})])
    due = ask("threshold", facts, NOON, mean_per_board=4)[0][0]
    assert due.numbers["mean_per_board"] == pytest.approx(7.0)
    low, high = (stats.chi2.ppf(q, 2 * 21 + add) / 2 / 3 for q, add in ((0.025, 0), (0.975, 2)))
    assert due.numbers["mean_per_board_low"] == pytest.approx(low)
    assert due.numbers["mean_per_board_high"] == pytest.approx(high)
    assert "too narrow" in due.caution and "1 board with two numbers" in due.why and "baited" in due.why
    assert ask("threshold", facts, NOON, mean_per_board=4, chance_percent=99)[0] == []
