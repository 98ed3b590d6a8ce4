"""Scores of warnings against Finley's tornado forecasts and exact fractions."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from underboard.core.agronomy import evaluate

FINLEY = {"hits": 28, "false_alarms": 72, "misses": 23, "correct_negatives": 2680}


@pytest.mark.parametrize(
    ("score", "printed", "computed"),
    [
        ("accuracy", 0.966, 0.966108),
        ("bias", None, 1.960784),
        ("pod", None, 0.549020),
        ("far", 0.72, 0.72),
        ("pofd", None, 0.026163),
        ("csi", 0.23, 0.227642),
        ("ets", None, 0.216046),
        ("peirce", 0.52, 0.522857),
        ("hss", None, 0.355325),
        ("odds_ratio", None, 45.3140),
        ("orss", None, 0.956817),
    ],
)
def test_finleys_tornadoes(score: str, printed: float | None, computed: float) -> None:
    """Finley 1884; printed: the WWRP/WGNE forecast verification page; computed: from its formulas."""
    found = evaluate("verify", FINLEY)
    assert found["n"] == 2803
    assert found[score] == pytest.approx(computed, abs=5e-7 if computed < 10 else 5e-5)
    if printed is not None:
        assert found[score] == pytest.approx(printed, abs=5e-3)


def test_never_forecasting_looks_accurate() -> None:
    """Gilbert's answer to Finley: 98.2 % by never forecasting; and no far, for there is no warning."""
    found = evaluate("verify", {"hits": 0, "false_alarms": 0, "misses": 51, "correct_negatives": 2752})
    assert found["accuracy"] == pytest.approx(0.981805, abs=5e-7)
    assert found["far"] is None and any("far" in said for said in found["why_not"])
    assert any("do not judge by accuracy" in said for said in found["cautions"])


counts = st.integers(0, 10**6)


@settings(max_examples=100, deadline=None)
@given(a=counts, b=counts, c=counts, d=counts)
def test_scores_in_exact_fractions(a: int, b: int, c: int, d: int) -> None:
    """The defining formulas in exact fractions; undefined exactly where the divisor is zero."""
    found = evaluate("verify", {"hits": a, "false_alarms": b, "misses": c, "correct_negatives": d})
    n = a + b + c + d
    chance = Fraction((a + b) * (a + c), n) if n else Fraction(0)
    expected = Fraction((a + b) * (a + c) + (c + d) * (b + d), n) if n else Fraction(0)
    for score, above, below in (
        ("accuracy", a + d, n),
        ("bias", a + b, a + c),
        ("pod", a, a + c),
        ("far", b, a + b),
        ("pofd", b, b + d),
        ("csi", a, a + b + c),
        ("ets", a - chance, a + b + c - chance),
        ("hss", a + d - expected, n - expected),
        ("odds_ratio", a * d, b * c),
        ("orss", a * d - b * c, a * d + b * c),
    ):
        if below == 0:
            assert found[score] is None
            assert any(said.startswith(f"{score} ") for said in found["why_not"])
        else:
            assert found[score] == pytest.approx(
                float(Fraction(above) / Fraction(below)), rel=1e-12, abs=1e-15
            )


def test_brier_by_hand() -> None:
    """0.16 against 0.24 for the climatology 0.4: skill 0.3333 (computed by hand)."""
    found = evaluate("brier", {"probabilities": [0.9, 0.7, 0.2, 0.1, 0.5], "outcomes": [1, 0, 0, 0, 1]})
    assert found["brier"] == pytest.approx(0.16)
    assert found["brier_climatology"] == pytest.approx(0.24)
    assert found["skill"] == pytest.approx(1 / 3)


@pytest.mark.parametrize(("p", "score"), [(0.7, 0.09), (0.3, 0.49)])
def test_brier_of_one_forecast(p: float, score: float) -> None:
    """American Meteorological Society glossary: 70 % and rain 0.09, 30 % and rain 0.49."""
    assert evaluate("brier", {"probabilities": [p], "outcomes": [1]})["brier"] == pytest.approx(score)


def test_cost_against_loss() -> None:
    """Murphy (from memory): cost 4, loss 60 gives 0.067 (computed)."""
    assert evaluate("cost-loss", {"p": 0.068, "cost": 4, "loss": 60})["act"] is True
    found = evaluate("cost-loss", {"p": 0.066, "cost": 4, "loss": 60})
    assert found["act"] is False
    assert found["threshold"] == pytest.approx(0.0667, abs=5e-5)
