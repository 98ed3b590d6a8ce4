"""Wireworm figures computed from the stated formulas (geometry, Garwood 1936, zero terms of two laws)."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from underboard.core.agronomy import evaluate

FOUR_INCH = 0.1016


def cores(found: int, n: int, diameter: float = FOUR_INCH, **more: float) -> dict[str, float]:
    return evaluate("density", {"found": found, "n_units": n, "core_diameter_m": diameter, **more})


@pytest.mark.parametrize(
    ("diameter", "n", "area", "one"),
    [(0.10, 20, 0.1570796, 63_662), (FOUR_INCH, 20, 0.1621464, 61_673), (FOUR_INCH, 10, 0.0810732, 123_345)],
)
def test_what_one_find_stands_for(diameter: float, n: int, area: float, one: float) -> None:
    """Geometry: the "62,500" of the old tables is 20 four-inch cores, rounded."""
    found = cores(1, n, diameter)
    assert found["area_m2"] == pytest.approx(area, abs=5e-8)
    assert found["one_find_per_ha"] == pytest.approx(one, abs=0.5)
    assert found["per_ha"] == found["one_find_per_ha"]


def test_one_find_an_acre() -> None:
    assert cores(1, 20)["per_acre"] == pytest.approx(24_958, abs=0.5)


def test_limits_of_a_nil_result() -> None:
    """Upper 95 % limits of no find in 20 four-inch cores; hand sorting recovers 0.4 (Ann. appl. Biol. 32:148)."""
    found = cores(0, 20)
    assert found["upper_one_sided_per_ha"] == pytest.approx(184_755, abs=0.5)
    assert found["high_per_ha"] == pytest.approx(227_503, abs=0.5)
    assert cores(0, 20, recovery=0.4)["upper_one_sided_per_ha"] == pytest.approx(461_887, abs=0.5)


@pytest.mark.parametrize(
    ("x", "per_ha", "low", "high"), [(1, 61_673, 1_561, 343_618), (3, 185_018, 38_155, 540_701)]
)
def test_limits_of_finds(x: int, per_ha: float, low: float, high: float) -> None:
    found = cores(x, 20)
    want = pytest.approx((per_ha, low, high), abs=0.5)
    assert (found["per_ha"], found["low_per_ha"], found["high_per_ha"]) == want


DENSITIES = (25_000, 62_500, 100_000, 150_000, 250_000)


@pytest.mark.parametrize(
    ("more", "chances"),
    [
        ({}, (0.6667, 0.3630, 0.1976, 0.0878, 0.0174)),
        ({"k": 0.2}, (0.6797, 0.4052, 0.2564, 0.1496, 0.0609)),
        ({"recovery": 0.4}, (0.8503, 0.6667, 0.5228, 0.3780, 0.1976)),
    ],
)
def test_chance_of_a_miss(more: dict[str, float], chances: tuple[float, ...]) -> None:
    """20 four-inch cores: "a nil return does not equate to low risk" (Parker, Farmers Weekly 2001)."""
    for per_ha, chance in zip(DENSITIES, chances, strict=True):
        given = {"per_ha": per_ha, "n_units": 20, "core_diameter_m": FOUR_INCH, **more}
        assert evaluate("miss-chance", given)["p_miss"] == pytest.approx(chance, abs=5e-5)


@pytest.mark.parametrize(
    ("mean", "n", "k", "clumped", "chance"), [(0.5, 4, 0.5, 0.25, 0.1353), (0.3, 10, 1, 0.07254, 0.04979)]
)
def test_nil_in_traps(mean: float, n: int, k: float, clumped: float, chance: float) -> None:
    given = {"mean_per_unit": mean, "n_units": n}
    assert evaluate("miss-chance", {**given, "k": k})["p_miss"] == pytest.approx(clumped, abs=5e-6)
    assert evaluate("miss-chance", given)["p_miss"] == pytest.approx(chance, abs=5e-5)


@pytest.mark.parametrize(("per_ha", "n"), [(62_500, 60), (25_000, 148)])
def test_cores_to_detect(per_ha: float, n: int) -> None:
    given = {"confidence": 0.95, "per_ha": per_ha, "core_diameter_m": FOUR_INCH}
    assert evaluate("detection-plan", given)["n_units"] == n


def test_seven_in_six_traps() -> None:
    found = evaluate("trap-thumb", {"caught": 7, "n_traps": 6})
    got = (found["per_trap"], found["low_per_trap"], found["high_per_trap"])
    assert got == pytest.approx((1.1667, 0.4691, 2.4038), abs=5e-5)
    assert found["source"] == "common practice, no source"
    assert any("no regression" in caution for caution in found["cautions"])
    assert evaluate("trap-thumb", {"caught": 0, "n_traps": 6})["high_per_trap"] == pytest.approx(
        0.6148, abs=5e-5
    )
    one_sided = evaluate("poisson-interval", {"count": 0, "effort": 6, "sided": "upper"})
    assert one_sided["high"] == pytest.approx(0.4993, abs=5e-5)


def test_the_rule_of_thumb_as_it_is_told() -> None:
    """Three a trap is 60,000 an acre; an acre is 4046.8564224 m² (international yard, 1959)."""
    found = evaluate("trap-thumb", {"caught": 3, "n_traps": 1})
    assert found["per_acre"] == 60_000
    assert found["per_ha"] == pytest.approx(60_000 / 0.40468564224, rel=1e-12)


def test_the_acre_is_that_of_the_unit_registry() -> None:
    """pint, international acre."""
    one = evaluate("convert", {"value": 1, "from": "acre", "to": "m**2"})["value"]
    found = cores(5, 7)
    assert found["per_acre"] / found["per_m2"] == pytest.approx(one, rel=1e-12)


@given(
    mean=st.floats(1e-6, 50),
    n=st.integers(1, 500),
    k=st.floats(0.01, 1e4),
    confidence=st.floats(0.05, 0.9999),
)
@settings(max_examples=150, deadline=None)
def test_nil_terms_are_those_of_scipy(mean: float, n: int, k: float, confidence: float) -> None:
    """scipy.stats.nbinom and poisson; and the plan is the smallest number that is enough."""
    given = {"mean_per_unit": mean, "k": k}
    missed = evaluate("miss-chance", {**given, "n_units": n})["p_miss"]
    assert missed == pytest.approx(stats.nbinom.pmf(0, k * n, k / (k + mean)), rel=1e-6, abs=1e-250)
    chance = evaluate("miss-chance", {"mean_per_unit": mean, "n_units": n})["p_miss"]
    assert chance == pytest.approx(stats.poisson.pmf(0, mean * n), rel=1e-9, abs=1e-250)
    plan = evaluate("detection-plan", {**given, "confidence": confidence})["n_units"]
    # By logarithms: 1 + mean/k would lose the digits that decide between a plan and one sample fewer.
    nil, wanted = -k * math.log1p(mean / k), math.log1p(-confidence)
    assert plan * nil <= wanted * (1 - 1e-9)
    assert plan == 1 or (plan - 1) * nil > wanted * (1 + 1e-9)
