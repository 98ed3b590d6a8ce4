"""The frost decision: equal to scipy on whole evenings, and to `frost-tonight`; warmer evenings never scare."""

from __future__ import annotations

import json
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from underboard.core.agronomy.frost.crop_damage import crop_damage
from underboard.core.agronomy.frost.foretold import fit_of
from underboard.core.agronomy.frost.frost_tonight import frost_tonight
from underboard.core.warnings.facts import CropFact
from underboard.core.warnings.frost_decision import frost_decision
from underboard.core.warnings.standing_crops import standing_among

FOLDER = Path(__file__).parents[3] / "fixtures" / "vectors" / "decisions"
CROPS, STANDING, FROST = (
    json.loads((FOLDER / f"{name}.json").read_text("utf-8")) for name in ("crops", "standing", "frost")
)


def alike(got: Any, want: Any, at: str = "") -> None:
    if isinstance(want, dict):
        for name, inner in want.items():
            alike(got[name], inner, f"{at}/{name}")
    elif isinstance(want, list):
        assert len(got) == len(want), at
        for i, inner in enumerate(want):
            alike(got[i], inner, f"{at}/{i}")
    elif isinstance(want, float):
        assert got == pytest.approx(want, rel=1e-9, abs=1e-12), at
    else:
        assert got == want, at


@pytest.mark.parametrize("case", FROST["cases"], ids=lambda case: case["id"])
def test_decisions_are_those_of_scipy(case: dict[str, Any]) -> None:
    alike(asdict(frost_decision(**case["in"])), case["out"])


@pytest.mark.parametrize("case", CROPS["cases"], ids=lambda case: case["in"]["kind"])
def test_damage_temperatures_are_the_published_ones(case: dict[str, Any]) -> None:
    alike(asdict(crop_damage(**case["in"])), case["out"])


def test_an_unknown_crop_has_words_and_no_figure() -> None:
    found = crop_damage("Oca")
    assert found.critical_c is None
    assert found.words == "No damage temperature is known here for 'Oca'."


@pytest.mark.parametrize("case", STANDING["cases"], ids=lambda case: case["id"])
def test_what_stands_out(case: dict[str, Any]) -> None:
    said = case["in"]["crop"]
    days = {
        name: date.fromisoformat(said[name]) if name in said else None for name in ("started_on", "ended_on")
    }
    events = tuple((date.fromisoformat(e["on"]), e["what"], None, None) for e in said["events"])
    crop = CropFact(said["crop_id"], said["kind"], said["place_id"], None, **days, events=events)
    found = standing_among([crop], STANDING["kinds"], date.fromisoformat(case["in"]["night"]))
    assert bool(found) is case["out"]["stands"]


def test_the_reference_of_the_frost_package_comes_through_the_decision() -> None:
    case = next(one for one in FROST["cases"] if one["id"] == "fao_reference")
    assert frost_decision(**case["in"]).min_c == pytest.approx(-0.7409219, abs=1e-7)


@st.composite
def fits(draw: st.DrawFn) -> dict[str, Any]:
    """A fit over eight and more nights of a plot that cools as plots do, with plenty of chance in it."""
    n = draw(st.integers(8, 14))
    number = st.floats(-3, 3, allow_nan=False)
    rows = []
    for _ in range(n):
        evening = draw(st.floats(-4, 14))
        dew = evening - draw(st.floats(0, 10))
        rows.append({"evening_c": evening, "dew_c": dew, "min_c": evening - 5 + draw(number)})
    found = dict(fit_of(rows, None))
    drop = dict(fit_of(rows, "mean_drop"))
    if (found["evening_coef"] or 0) < 0 or found["intercept"] is None:
        found = drop
    return {**found, "without_dew": drop}


OFFSETS = st.fixed_dictionaries({"plan_with_c": st.floats(-3, 3), "sd_c": st.floats(0, 2)})
CROP = {"crop_id": "c", "kind": "lettuce", "place_id": "p", "stage": None, "hardened": False}
SETTINGS = {"cost": 4, "loss": 60, "at_c": None}


@settings(max_examples=40, deadline=None)
@given(fits(), OFFSETS, st.floats(-5, 15), st.floats(0, 30), st.floats(0, 10), st.booleans())
def test_a_warmer_evening_never_raises_the_chance(
    fit: dict[str, Any], offset: dict[str, float], evening: float, warmer: float, dry: float, read_dew: bool
) -> None:
    learned = {"frost_fit": fit, "offsets": {"p": offset}}
    dew = evening - dry if read_dew else None
    first, second = (
        frost_decision(learned, {"evening_c": air, "dew_c": dew}, [CROP], SETTINGS)
        for air in (evening, evening + warmer)
    )
    assert first.p is not None and second.p is not None
    assert second.p <= first.p + 1e-12
    assert second.min_c >= first.min_c - 1e-9


@settings(max_examples=40, deadline=None)
@given(fits(), OFFSETS, st.floats(0, 1), st.floats(0, 1))
def test_figures_are_those_of_frost_tonight(
    fit: dict[str, Any], offset: dict[str, float], share: float, dry: float
) -> None:
    """Minimum and interval always; the chance wherever it lies before the turning point."""
    evening = fit["evening_low_c"] + share * (fit["evening_high_c"] - fit["evening_low_c"])
    dew = evening - 10 * dry
    assume(evening + offset["plan_with_c"] >= -2.0)  # else it is colder than that already
    found = frost_decision(
        {"frost_fit": fit, "offsets": {"p": offset}}, {"evening_c": evening, "dew_c": dew}, [CROP], SETTINGS
    )
    told = frost_tonight(
        evening, dew, (-2.0,), fit=fit, offset_c=offset["plan_with_c"], offset_sd_c=offset["sd_c"]
    )
    place = found.places[0]
    assert (place.min_c, place.low_c, place.high_c) == (told.min_c, told.low_c, told.high_c)
    p, mine = told.chances[0].p, place.crops[0].p
    assert p is not None and mine is not None
    if mine != p:  # only beyond the turning point, where a warmer evening would have the greater chance
        assert told.method != "mean_drop"
        more = frost_tonight(
            evening + 0.01, dew, (-2.0,), fit=fit, offset_c=offset["plan_with_c"], offset_sd_c=offset["sd_c"]
        )
        assert (more.chances[0].p or 0.0) >= p - 1e-12


@settings(max_examples=40, deadline=None)
@given(
    fits(),
    st.permutations([("a", "Tomatoes", "x"), ("b", "Lettuce", None), ("c", "Oca", "y"), ("d", "Kale", "x")]),
)
def test_the_order_of_crops_changes_nothing_but_their_order(fit: dict[str, Any], order: list[Any]) -> None:
    def decide(rows: list[Any]) -> dict[str, Any]:
        crops = [
            {"crop_id": c, "kind": k, "place_id": p, "stage": None, "hardened": False}
            for c, k, p in sorted(rows)
        ]
        return asdict(frost_decision({"frost_fit": fit}, {"evening_c": 4.0, "dew_c": 1.0}, crops, SETTINGS))

    assert decide(order) == decide(sorted(order))
