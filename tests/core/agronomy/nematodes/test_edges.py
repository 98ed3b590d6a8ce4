"""What the nematode calculations do at their edges."""

from __future__ import annotations

import pytest

from underboard.core.agronomy import evaluate


def test_what_was_not_given_is_empty_with_a_reason() -> None:
    found = evaluate("nematode-dose", {"area_m2": 10})
    assert found["culture_ml"] is None and found["packs"] is None and len(found["why_not"]) == 2


def test_part_of_a_pack_is_a_whole_pack() -> None:
    found = evaluate("nematode-dose", {"area_m2": 101, "pack": 30_000_000, "per_ml": 240})
    assert (found["packs"], found["packs_exact"]) == (2, pytest.approx(1.01))
    assert found["why_not"] == [] and any("home brew" in said for said in found["cautions"])


def test_a_dose_weaker_than_any_published_is_said() -> None:
    found = evaluate("nematode-dose", {"area_m2": 10, "per_m2": 49_999})
    assert any("weakest" in said for said in found["cautions"])


def test_drops_that_differ_too_much() -> None:
    found = evaluate("culture-count", {"aliquots": [2, 40, 5, 60], "aliquot_ml": 0.05})
    assert found["dispersion_p"] < 1e-6 and any("stir" in said for said in found["cautions"])


def test_nothing_counted_still_has_an_upper_limit() -> None:
    found = evaluate("culture-count", {"aliquots": [0], "aliquot_ml": 0.05})
    assert found["per_ml"] == 0 and found["high"] == pytest.approx(3.6889 / 0.05, rel=1e-4)
    assert found["dispersion_p"] is None and found["why_not"]
    assert any("three drops" in said for said in found["cautions"])


def test_no_drop_at_all() -> None:
    found = evaluate("culture-count", {"aliquots": [], "aliquot_ml": 0.05})
    assert found["per_ml"] is None and found["why_not"] == ["No drop was counted."]


def test_a_diluted_culture_is_stronger_than_its_drops() -> None:
    found = evaluate("culture-count", {"aliquots": [10, 10, 10], "aliquot_ml": 0.1, "dilution": 20})
    assert found["per_ml"] == pytest.approx(2000)


def test_every_reason_is_given() -> None:
    found = evaluate(
        "application-check",
        {"soil_c": 3, "moisture": "dry", "days_since_last": 10, "month": 1, "metres_to_water": 1},
    )
    assert found["verdict"] == "no" and len(found["reasons"]) == 5


@pytest.mark.parametrize(
    ("counted_on", "word"),
    [("2026-04-01", "before"), ("2026-05-03", "too early"), ("2026-08-01", "too late")],
)
def test_a_count_outside_the_window_says_why(counted_on: str, word: str) -> None:
    found = evaluate("efficacy-window", {"applied_on": "2026-05-01", "counted_on": counted_on})
    assert word in found["reason"]
