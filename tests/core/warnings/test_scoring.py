"""How good a rule was: people before thermometers, published scores, and words."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from tests.core.warnings.night_plot import BED, POST, Record, at, crop, evening, facts_from, reading, record
from underboard.core.warnings.decide import warning_id
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.learning import learned_of
from underboard.core.warnings.scoring import Score, fields_of, score_of, windows_of
from underboard.core.warnings.windows import Window

LETTUCE = crop("Lettuce", BED, at("2026-04-01T10:00"))
#: Night → its minimum [°C] and whether it was warned of: a hit, a miss, a false alarm and a quiet night.
SEASON = {
    "2026-05-01": (-3.0, True),
    "2026-05-02": (-2.5, False),
    "2026-05-03": (1.0, True),
    "2026-05-04": (4.0, False),
}


def warning(night: str, raised: datetime | None = None, rule: str = "frost", **more: str) -> Record:
    begin = at(f"{night}T20:30")
    body = {
        "rule": rule,
        "key": night,
        "raised_at": (raised or begin + timedelta(hours=2)).isoformat(),
        "window_start": begin.isoformat(),
        "window_end": (begin + timedelta(hours=9)).isoformat(),
        "headline": "Frost.",
        "severity": "Moderate",
        "numbers": {},
        **more,
    }
    found = record("warning", f"{rule}/{night}", **body)
    return {**found, "id": warning_id("p", rule, night)}


def answer(night: str, outcome: str, hour: int, rule: str = "frost") -> Record:
    body = {"warning_id": warning_id("p", rule, night), "outcome": outcome}
    return record(
        "warning_reply", f"{night}/{hour}", observed_at=at(f"2026-05-10T{hour:02}:00").isoformat(), **body
    )


def season(*more: Record) -> Facts:
    records = [BED, POST, *LETTUCE, reading(POST, at("2026-05-01T08:00"), current=8.0)]
    for night, (low, warned) in SEASON.items():
        when = at(f"{night}T22:30")
        records += [
            evening(when, low + 6, -4.0),
            reading(POST, (when + timedelta(days=1)).replace(hour=8), min=low),
        ]
        records += [warning(night)] if warned else []
    # A later record of the same id is the newer state of it.
    return replace(facts_from([*records, *more]), since=at("2026-04-01T00:00"))


def table(facts: Facts, rule: str = "frost") -> tuple[int, int, int, int]:
    score = score_of(rule, windows_of(facts, rule))
    return score.hits, score.misses, score.false_alarms, score.correct_negatives


def test_the_minimum_thermometer_judges_the_nights() -> None:
    assert table(season()) == (1, 1, 1, 1)


def test_what_people_saw_wins_over_the_thermometer() -> None:
    assert table(season(answer("2026-05-03", "happened", 8))) == (2, 1, 0, 1)
    assert table(season(answer("2026-05-01", "did_not_happen", 8))) == (0, 1, 2, 1)


def test_the_newest_answer_counts_and_not_known_is_none() -> None:
    both = (answer("2026-05-03", "happened", 8), answer("2026-05-03", "did_not_happen", 9))
    assert table(season(*both)) == table(season(*both[::-1])) == (1, 1, 1, 1)
    assert table(season(answer("2026-05-03", "not_known", 8))) == (1, 1, 1, 1)


def test_a_warning_that_came_too_late_or_was_taken_back_was_none() -> None:
    late = warning("2026-05-01", raised=at("2026-05-02T09:00"))
    assert table(season(late)) == (0, 2, 1, 1)
    back = warning("2026-05-01", ended_at=at("2026-05-01T23:30").isoformat())
    assert table(season(back)) == (0, 2, 1, 1)


def test_nights_before_the_plot_was_watched_are_not_judged() -> None:
    facts = replace(season(), since=at("2026-05-03T12:00"))
    assert table(facts) == (0, 1, 1, 1)
    assert table(replace(season(), since=None)) == (0, 0, 0, 0)


def test_other_rules_are_judged_by_people_alone() -> None:
    facts = season(warning("2026-05-06", rule="surge"), answer("2026-05-06", "did_not_happen", 7, "surge"))
    assert table(facts, "surge") == (0, 0, 1, 0)
    assert table(facts, "heat") == (0, 0, 0, 0)
    assert set(learned_of(facts)["scores"]) == {"frost", "surge"}


def test_shares_are_those_of_finley() -> None:
    """Finley 1884, tornadoes: 28 hits, 72 false alarms, 23 misses, 2680 neither (WWRP/WGNE: POD 0.55, FAR 0.72)."""
    found = fields_of(season(), Score("frost", 28, 23, 72, 2680, at("2026-04-01T20:00"), 0))
    assert found["pod"] == pytest.approx(0.549020, abs=1e-6)
    assert found["far"] == pytest.approx(0.72, abs=1e-12)
    assert found["csi"] == pytest.approx(0.227642, abs=1e-6)
    assert found["words"] == (
        "Since 1 April 2026: 28 came and were warned of, 23 came unwarned, 72 warnings were for nothing."
    )


def test_few_windows_say_that_they_are_few() -> None:
    windows = [
        Window("2026-05-01", at("2026-05-01T20:00"), True, True),
        Window("x", at("2026-05-02T20:00"), True, False),
    ]
    found: dict[str, Any] = fields_of(season(), score_of("frost", windows))
    assert found["words"].endswith("1 warning was for nothing. Too few yet to tell how good it is.")
    assert found["n"] == 2 and found["csi"] == 0.5
