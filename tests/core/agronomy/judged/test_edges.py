"""What the scores do at their edges."""

from __future__ import annotations

import pytest

from underboard.core.agronomy import evaluate
from underboard.core.errors import InputFault


def test_an_empty_table_has_no_scores() -> None:
    found = evaluate("verify", {"hits": 0, "false_alarms": 0, "misses": 0, "correct_negatives": 0})
    scores = {
        key: value
        for key, value in found.items()
        if key not in ("n", "why_not", "cautions", "method", "source")
    }
    assert set(scores.values()) == {None}
    assert len(found["why_not"]) == len(scores)
    assert found["cautions"] == []


def test_few_events_bring_a_caution() -> None:
    found = evaluate("verify", {"hits": 1, "false_alarms": 1, "misses": 0, "correct_negatives": 2})
    assert found["cautions"] == ["Only 1 event: one more or less moves the scores a lot."]


def test_skill_against_a_climatology_that_was_always_right() -> None:
    found = evaluate("brier", {"probabilities": [0.5], "outcomes": [True], "climatology": 1})
    assert found["skill"] is None and "always" not in found["why_not"][0] and found["brier"] == 0.25


def test_no_forecasts() -> None:
    found = evaluate("brier", {"probabilities": [], "outcomes": []})
    assert found["brier"] is None and found["reliability"] == []


def test_a_chance_on_an_edge_counts_in_the_upper_class() -> None:
    found = evaluate("brier", {"probabilities": [0.1, 1, 0] * 10, "outcomes": [0, 1, 0] * 10})
    assert [(c["from"], c["to"], c["n"]) for c in found["reliability"]] == [
        (0, 0.1, 10),
        (0.1, 0.2, 10),
        (0.9, 1, 10),
    ]
    assert found["cautions"] == []


def test_each_chance_needs_an_outcome() -> None:
    with pytest.raises(InputFault) as caught:
        evaluate("brier", {"probabilities": [0.1], "outcomes": []})
    assert caught.value.pointer == "/outcomes"


def test_nothing_to_lose_is_no_reason_to_act() -> None:
    found = evaluate("cost-loss", {"p": 1, "cost": 0, "loss": 0})
    assert (found["act"], found["threshold"]) == (False, None) and found["why_not"]


def test_at_the_threshold_nothing_is_done() -> None:
    assert evaluate("cost-loss", {"p": 0.5, "cost": 1, "loss": 2})["act"] is False
    assert evaluate("cost-loss", {"p": 1, "cost": 3, "loss": 2})["act"] is False
