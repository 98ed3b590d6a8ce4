"""Replays: nothing of the future leaks in, scores are the published ones, the demo's late frost is warned of."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.warnings.demo_plot import demo_records, digest_of_records
from tests.core.warnings.night_plot import BED, FAO, POST, at, crop, evening, facts_from, nights, reading
from underboard.core.errors import InputFault
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.facts_of import facts_of
from underboard.core.warnings.learning import learned_of
from underboard.core.warnings.replay import Call, Replayed, answer_of, facts_at
from underboard.core.warnings.replay_frost import PublicNight, replay_frost, replay_public_frost
from underboard.core.warnings.replay_surge import replay_series
from underboard.core.warnings.replays import replay_of
from underboard.core.warnings.rules import frost
from underboard.core.warnings.terms import Due, chosen

LATE_FROST = date(2026, 4, 28)


@cache
def demo() -> Facts:
    return facts_of(digest_of_records(demo_records()))


def test_scores_are_those_of_finley_and_of_the_brier_example() -> None:
    """Finley 1884 (CSI 0.2276); chances .9 .7 .2 .1 .5 for 1 0 0 0 1 score 0.16 (Brier 1950)."""
    tables = ((28, True, True), (72, True, False), (23, False, True), (2680, False, False))
    calls = tuple(
        Call("k", warned, came, False, float(warned)) for n, warned, came in tables for _ in range(n)
    )
    found = answer_of(Replayed("frost", calls, "none", "tornadoes"), cost=1, loss=10)
    assert found["csi"] == pytest.approx(0.227642, abs=1e-6)
    assert found["n"] == 2803 and found["beside"]["never"]["misses"] == 51
    assert (found["cost"], found["beside"]["always"]["cost"]) == (100 + 230, 2803)
    pairs = ((0.9, True), (0.7, False), (0.2, False), (0.1, False), (0.5, True))
    chances = tuple(Call("k", True, came, False, p) for p, came in pairs)
    assert answer_of(Replayed("frost", chances, "none", "rain"))["brier"] == pytest.approx(0.16)


def test_nothing_to_judge_is_said_and_not_invented() -> None:
    found = answer_of(Replayed("frost", (), "none", "frost"))
    assert found["n"] == 0 and found["pod"] is None and found["brier"] is None and found["lead_hours"] is None
    assert "There was nothing to judge in that time." in found["says"]


def test_the_late_frost_of_the_demo_is_warned_of_hours_ahead() -> None:
    found = replay_of(demo(), "frost", LATE_FROST, LATE_FROST)
    assert (found["n"], found["hits"], found["misses"]) == (1, 1, 0)
    assert 5 < found["lead_hours"] < 12
    (late,) = [one for one in demo().evenings if one.night == LATE_FROST]
    known = facts_at(demo(), late.at + timedelta(minutes=1))
    said = next(iter(frost.run(known, chosen(frost.RULE, None), late.at + timedelta(minutes=1))))
    assert isinstance(said, Due) and said.severity == "Severe" and said.loud
    assert said.numbers["fitted_to_plot"] is True
    kinds = {crop.kind for crop in demo().crops if crop.id in said.crop_ids}
    assert {"Potato", "Lettuce"} <= kinds


def test_both_seasons_of_the_demo() -> None:
    found = replay_of(demo(), "frost")
    assert found["misses"] == 0 and found["hits"] >= 1
    assert found["cost"] < found["beside"]["never"]["cost"]
    assert found["cost"] < found["beside"]["always"]["cost"]


@pytest.mark.parametrize("evening_n", range(10, 50, 5))
def test_facts_at_a_time_are_those_of_the_records_until_then(evening_n: int) -> None:
    """The same facts as from the records that were there by then: nothing of later ones has slipped in."""
    now = demo().evenings[evening_n].at + timedelta(minutes=5)

    def early(record: dict[str, Any]) -> bool:
        said = record["body"].get("observed_at") or record["body"].get("set_at")
        return said is None or datetime.fromisoformat(said) <= now

    anew = facts_of(digest_of_records([one for one in demo_records() if early(one)]))
    known = facts_at(demo(), now)
    assert known.evenings == anew.evenings and known.readings == anew.readings
    assert known.nights == anew.nights and known.pairs == anew.pairs
    assert [one.id for one in known.rounds] == [one.id for one in anew.rounds]
    held = {one.id: one for one in anew.crops}
    assert all(one.events == held[one.id].events for one in known.crops)
    assert learned_of(known)["frost_fit"] == learned_of(anew)["frost_fit"]


@settings(max_examples=8, deadline=None)
@given(st.integers(0, 2**32), st.integers(15, 45))
def test_another_future_changes_no_call_of_the_past(seed: int, split: int) -> None:
    chance, facts = random.Random(seed), demo()
    until = facts.evenings[split].night
    changed = replace(
        facts,
        evenings=tuple(
            replace(one, air_c=chance.uniform(-5, 15), dew_c=-6.0) if one.night > until else one
            for one in facts.evenings
        ),
        nights=tuple(
            replace(one, min_c=chance.uniform(-9, 9)) if one.night > until else one for one in facts.nights
        ),
    )
    span = (date.min, until)
    asked = chosen(frost.RULE, None)
    assert replay_frost(facts, asked, *span) == replay_frost(changed, asked, *span)


def test_public_nights_are_foretold_from_the_earlier_ones_alone() -> None:
    rows = [PublicNight(*night, True) for night in FAO] * 2
    other = [*rows[:15], *(PublicNight(9.0, 0.0, 8.0, True) for _ in range(5))]
    first, second = (replay_public_frost(one, 4, 60).calls for one in (rows, other))
    assert first[:7] == second[:7] and len(first) == 12


def test_frost_that_nobody_read_for_is_counted_apart() -> None:
    records = [BED, POST, *crop("Lettuce", BED, at("2026-03-20T10:00")), *nights(at("2026-04-01T21:30"), FAO)]
    silent = [
        one for one in records if one["type"] != "evening" or "2026-04-02" not in one["body"]["observed_at"]
    ]
    found = replay_of(facts_from(silent), "frost")
    assert found["unread"] == 1 and found["n"] == 9


def test_the_last_word_of_an_evening_counts() -> None:
    low = reading(POST, at("2026-05-13T08:00"), min=3.0)
    start = [
        BED,
        POST,
        *crop("Lettuce", BED, at("2026-03-20T10:00")),
        reading(POST, at("2026-05-12T08:00"), current=9.0),
    ]
    cold = evening(at("2026-05-12T22:40"), 2.0, -2.0)
    warm = evening(at("2026-05-12T23:40"), 19.0, 9.0)
    assert replay_of(facts_from([*start, cold, low]), "frost")["false_alarms"] == 1
    assert replay_of(facts_from([*start, cold, warm, low]), "frost")["correct_negatives"] == 1


def test_a_doubled_series_is_a_surge_and_a_level_one_is_none() -> None:
    """Thirty weeks at ten, four at forty: one event, warned of while it lasts; level: nothing at all."""
    level = replay_series([10] * 40, "ears_c2", 20, 39)
    assert {(one.warned, one.came) for one in level.calls} == {(False, False)}
    risen = answer_of(replay_series([10, 9, 11, 10, 12, 8] * 5 + [40] * 4 + [10] * 6, "ears_c2", 20, 39))
    assert (risen["hits"], risen["misses"]) == (1, 0)


def test_wrong_questions_are_refused() -> None:
    with pytest.raises(InputFault, match="There is no rule"):
        replay_of(demo(), "hail")
    with pytest.raises(InputFault, match="other way round"):
        replay_of(demo(), "frost", date(2026, 5, 2), date(2026, 5, 1))
