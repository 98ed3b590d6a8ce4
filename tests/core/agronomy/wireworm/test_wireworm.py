"""What the wireworm calculations do at their edges."""

from __future__ import annotations

from typing import Any

import pytest

from underboard.core.agronomy import evaluate
from underboard.core.errors import InputFault


@pytest.mark.parametrize(
    ("name", "given", "pointer"),
    [
        (
            "density",
            {"found": 1, "n_units": 4, "unit_area_m2": 1, "core_diameter_m": 0.1},
            "/core_diameter_m",
        ),
        ("density", {"found": 1, "n_units": 4}, "/unit_area_m2"),
        ("density", {"found": 1, "n_units": 4, "unit_area_m2": 1, "recovery": 0}, "/recovery"),
        ("miss-chance", {"n_units": 4, "per_ha": 1, "mean_per_unit": 1}, "/per_ha"),
        ("miss-chance", {"n_units": 4, "mean_per_unit": 1, "unit_area_m2": 1}, "/unit_area_m2"),
        ("miss-chance", {"n_units": 4, "mean_per_unit": 1, "core_diameter_m": 1}, "/core_diameter_m"),
        ("detection-plan", {"confidence": 1, "mean_per_unit": 1}, "/confidence"),
        ("detection-plan", {"confidence": 0.9}, "/per_ha"),
        ("trap-thumb", {"caught": 3, "n_traps": 0}, "/n_traps"),
    ],
)
def test_nonsense_is_refused(name: str, given: dict[str, Any], pointer: str) -> None:
    with pytest.raises(InputFault) as caught:
        evaluate(name, given)
    assert caught.value.pointer == pointer


def test_nothing_found_is_not_nothing_there() -> None:
    found = evaluate("density", {"found": 0, "n_units": 20, "core_diameter_m": 0.1})
    assert found["per_ha"] == 0 and found["high_per_ha"] > 0
    assert "not nothing there" in found["cautions"][0] and "Recovery" in found["cautions"][1]
    sorted_by_hand = evaluate("density", {"found": 3, "n_units": 20, "core_diameter_m": 0.1, "recovery": 0.4})
    assert sorted_by_hand["cautions"] == []


def test_what_is_not_there_cannot_be_detected() -> None:
    plan = evaluate("detection-plan", {"confidence": 0.95, "mean_per_unit": 0})
    assert plan["n_units"] is None and plan["why_not"]
    assert evaluate("detection-plan", {"confidence": 0.95, "mean_per_unit": 1e-12})["n_units"] is None
    assert evaluate("miss-chance", {"mean_per_unit": 0, "n_units": 5, "k": 1})["p_miss"] == 1


def test_clumping_makes_a_miss_likelier_and_the_plan_larger() -> None:
    even = {"mean_per_unit": 0.4}
    clumped = {**even, "k": 0.3}
    for given, cautioned in ((even, True), (clumped, False)):
        assert bool(evaluate("miss-chance", {**given, "n_units": 6})["cautions"]) is cautioned
    plans = [evaluate("detection-plan", {**given, "confidence": 0.9})["n_units"] for given in (even, clumped)]
    assert plans[0] < plans[1]


def test_recovery_counts_in_traps_too() -> None:
    whole = evaluate("miss-chance", {"mean_per_unit": 0.4, "n_units": 6})
    part = evaluate("miss-chance", {"mean_per_unit": 0.8, "n_units": 6, "recovery": 0.5})
    assert part["p_miss"] == pytest.approx(whole["p_miss"])
