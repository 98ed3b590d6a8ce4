"""Doses, counts and limits against suppliers' tables and scipy."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from underboard.core.agronomy import evaluate


def test_doses_of_the_suppliers_table() -> None:
    """UK distributor: 300,000 per m², 30 million treat 100 m²; 250 m² need 75 million (computed)."""
    assert evaluate("nematode-dose", {"area_m2": 100})["nematodes"] == 30_000_000
    assert evaluate("nematode-dose", {"area_m2": 250})["nematodes"] == 75_000_000
    assert evaluate("nematode-dose", {"area_m2": 100, "pack": 30_000_000})["packs"] == 1


def test_a_counted_brew() -> None:
    """60 in 0.25 ml: 240 per ml, Garwood 183.1 to 308.9; 1,250 ml per m² for 300,000 (computed)."""
    found = evaluate("culture-count", {"aliquots": [12, 15, 9, 14, 10], "aliquot_ml": 0.05})
    assert found["per_ml"] == pytest.approx(240)
    assert (found["low"], found["high"]) == pytest.approx((183.1, 308.9), abs=0.05)
    dose = evaluate("nematode-dose", {"area_m2": 1, "per_ml": 240})
    assert dose["culture_ml_per_m2"] == pytest.approx(1250)


@settings(max_examples=80, deadline=None)
@given(
    aliquots=st.lists(st.integers(0, 60), min_size=2, max_size=12),
    ml=st.floats(0.01, 2),
    dilution=st.floats(1, 1000),
    level=st.floats(0.5, 0.999),
)
def test_strength_against_scipy(aliquots: list[int], ml: float, dilution: float, level: float) -> None:
    """The limits are those Poisson means whose tails are (1 - level)/2; dispersion by scipy.stats.chi2."""
    found = evaluate(
        "culture-count", {"aliquots": aliquots, "aliquot_ml": ml, "dilution": dilution, "level": level}
    )
    total, scale = sum(aliquots), len(aliquots) * ml / dilution
    tail = (1 - level) / 2
    assert stats.poisson.cdf(total, found["high"] * scale) == pytest.approx(tail, rel=1e-6)
    if total:
        assert stats.poisson.sf(total - 1, found["low"] * scale) == pytest.approx(tail, rel=1e-6)
        mean = total / len(aliquots)
        chi2 = sum((count - mean) ** 2 for count in aliquots) / mean
        assert found["dispersion_p"] == pytest.approx(stats.chi2.sf(chi2, len(aliquots) - 1), rel=1e-8)
    else:
        assert found["low"] == 0


@pytest.mark.parametrize(
    ("change", "verdict", "word"),
    [
        ({"soil_c": 4.9}, "no", "5 °C"),
        ({"soil_c": 5.0}, "go", "right"),
        ({"soil_c": 20.0}, "go", "right"),
        ({"soil_c": 20.1}, "wait", "20 °C"),
        ({"soil_c": 25.1}, "no", "25 °C"),
        ({"moisture": "dry"}, "no", "dry"),
        ({"moisture": "wet"}, "go", "right"),
        ({"days_since_last": 41}, "wait", "active"),
        ({"days_since_last": 42}, "go", "right"),
        ({"month": 11}, "no", "season"),
        ({"month": 2}, "no", "season"),
        ({"month": 3}, "go", "right"),
        ({"month": 10}, "go", "right"),
        ({"month": 12, "under_cover": True}, "go", "right"),
        ({"metres_to_water": 2.9}, "no", "pond"),
        ({"metres_to_water": 3}, "go", "right"),
        ({"soil_c": 20.1, "moisture": "dry"}, "no", "dry"),
    ],
)
def test_limits_of_the_suppliers_leaflets(change: dict[str, object], verdict: str, word: str) -> None:
    """UK suppliers: 5 to 20 °C, moist soil, March to October outdoors, about six weeks, 3 m from ponds."""
    found = evaluate("application-check", {"soil_c": 12, "moisture": "damp", **change})
    assert found["verdict"] == verdict
    assert word in " ".join(found["reasons"])


@pytest.mark.parametrize(
    ("counted_on", "usable"),
    [("2026-04-30", False), ("2026-05-01", False), ("2026-05-07", False), ("2026-05-08", True),
     ("2026-06-12", True), ("2026-06-13", False)],
)  # fmt: skip
def test_days_7_to_42(counted_on: str, usable: bool) -> None:
    """UK suppliers: death in 4 to 21 days, active about six weeks."""
    found = evaluate("efficacy-window", {"applied_on": "2026-05-01", "counted_on": counted_on})
    assert found["usable"] is usable
