"""What the warmth calculations do at their edges."""

from __future__ import annotations

from typing import Any

import pytest

from underboard.core.agronomy import evaluate
from underboard.core.errors import InputFault


def refused(name: str, given: dict[str, Any]) -> str:
    with pytest.raises(InputFault) as caught:
        evaluate(name, given)
    return caught.value.pointer


DAYS = {"min_c": [5, 8], "max_c": [20, 18], "base_c": 10}


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"max_c": [20]}, "/max_c"),
        ({"min_c": [5, 19]}, "/min_c/1"),
        ({"upper_c": 10}, "/upper_c"),
        ({"method": "cosine"}, "/method"),
        ({"min_c": [5, -300]}, "/min_c/1"),
    ],
)
def test_nonsense_heat_sums_are_refused(change: dict[str, Any], pointer: str) -> None:
    assert refused("degree-days", {**DAYS, **change}) == pointer


@pytest.mark.parametrize(
    "method", ["sine", "triangle", "average", "floored", "double_sine", "double_triangle"]
)
def test_a_missing_day_is_never_zero(method: str) -> None:
    given = {"min_c": [5, None, 8], "max_c": [20, 18, 18], "base_c": 10, "method": method}
    withheld = evaluate("degree-days", given)
    # Half of the first day belongs to the missing minimum, in the double methods.
    n_missing = 2 if method.startswith("double") else 1
    assert withheld["total"] is None and withheld["n_missing"] == n_missing
    assert "not zero" in withheld["why_not"][0]
    allowed = evaluate("degree-days", {**given, "max_missing": 2})
    assert allowed["total"] == pytest.approx(sum(day for day in allowed["daily"] if day is not None))
    assert "too low" in allowed["cautions"][0]


def test_a_day_without_range_is_answered() -> None:
    for method in ("sine", "triangle", "double_sine"):
        found = evaluate("degree-days", {"min_c": [12], "max_c": [12], "base_c": 10, "method": method})
        assert found["total"] == 2


def test_a_warm_night_after_a_cold_day_counts_both_ways() -> None:
    """Tomorrow's minimum above today's maximum: half a wave from 12 up to 14, all above the base."""
    given = {"min_c": [10, 14], "max_c": [12, 16], "base_c": 10, "method": "double_triangle"}
    assert evaluate("degree-days", given)["daily"][0] == pytest.approx((1 + 3) / 2)


def test_no_days_make_no_warmth() -> None:
    found = evaluate("degree-days", {"min_c": [], "max_c": [], "base_c": 5, "method": "double_sine"})
    assert (found["total"], found["daily"], found["cautions"]) == (0.0, [], [])


@pytest.mark.parametrize(("given", "pointer"), [([[1], [2, 3]], "/max_c"), ([[5], [4]], "/min_c/0")])
def test_nonsense_p_days_are_refused(given: list[Any], pointer: str) -> None:
    assert refused("p-days", {"min_c": given[0], "max_c": given[1]}) == pointer


def test_p_days_are_withheld_when_a_day_is_missing() -> None:
    found = evaluate("p-days", {"min_c": [10, None], "max_c": [20, 20]})
    assert found["total"] is None and found["n_missing"] == 1 and found["daily"][1] is None


@pytest.mark.parametrize(("air_c", "rate"), [(7, 0), (21, 10), (30, 0), (35, 0)])
def test_growth_stops_at_the_ends(air_c: float, rate: float) -> None:
    """Sands 1979 (from memory): nothing at 7 and 30 °C, most at 21 °C."""
    assert evaluate("p-days", {"min_c": [air_c], "max_c": [air_c]})["total"] == pytest.approx(rate)


def test_too_cold_a_soil_gives_no_date() -> None:
    found = evaluate("emergence", {"crop": "carrot", "soil_c": 2})
    assert found["days"] is None and found["low_days"] is None
    assert "2.7 °C" in found["why_not"][0]
    assert "a guess" in found["cautions"][1]


def test_daily_soil_that_was_enough_dates_the_emergence() -> None:
    """Carrot needs about 121.7 °C·d above 2.7 °C: at 14.9 °C ten days, so during day 10 of 12."""
    found = evaluate("emergence", {"crop": "carrot", "soil_c": [14.9] * 12})
    assert found["days"] == pytest.approx(10, abs=0.1)
    assert found["share_done"] == 1
    assert found["why_not"] == []


def test_daily_soil_that_is_not_yet_enough_goes_on_as_lately() -> None:
    found = evaluate("emergence", {"crop": "carrot", "soil_c": [2.0] * 10 + [14.9] * 5})
    assert found["share_done"] == pytest.approx(0.5, abs=0.01)
    assert found["days"] == pytest.approx(20, abs=0.1)


def test_no_soil_temperature_gives_a_reason() -> None:
    found = evaluate("emergence", {"crop": "pea", "soil_c": []})
    assert found["days"] is None and found["share_done"] == 0
    assert "no soil temperature" in found["why_not"][0]


def test_a_crop_that_is_not_in_the_table_is_refused() -> None:
    assert refused("emergence", {"crop": "carot", "soil_c": 10}) == "/crop"


def test_a_missing_day_withholds_the_window() -> None:
    found = evaluate("soil-window", {"crop": "pea", "soil_c": [9, 9, None, 9, 9]})
    assert found["open"] is None and found["mean_c"] == 9
    assert "4 of the last 5" in found["why_not"][0]


def test_no_reading_at_all() -> None:
    found = evaluate("soil-window", {"crop": "pea", "soil_c": []})
    assert [found[key] for key in ("open", "mean_c", "rising", "days_to_emerge")] == [None] * 4


def test_potatoes_want_a_rising_soil() -> None:
    assert evaluate("soil-window", {"crop": "potato", "soil_c": [7, 7.5, 8, 8.5, 9]})["open"] is True
    falling = evaluate("soil-window", {"crop": "potato", "soil_c": [9, 8.5, 8, 7.5, 7.3]})
    assert (falling["open"], falling["rising"]) == (False, False)
    one = evaluate("soil-window", {"crop": "potato", "soil_c": [9], "days": 1})
    assert one["open"] is True and any("One day" in said for said in one["cautions"])
    assert any("potato" in said for said in one["why_not"])


def test_only_the_last_days_count() -> None:
    found = evaluate("soil-window", {"crop": "lettuce", "soil_c": [0, 0, 0, 5, 5], "days": 2})
    assert found["mean_c"] == 5 and found["open"] is True


def test_cold_soil_gives_no_days_to_emerge() -> None:
    found = evaluate("soil-window", {"crop": "onion", "soil_c": [1] * 5})
    assert found["open"] is False and found["days_to_emerge"] is None


FORECAST = {"daily_mean_c": [10] * 12, "normal_c": [10] * 20, "base_c": 5, "target_c_d": 100}


def test_heat_that_is_there_already() -> None:
    found = evaluate("heat-forecast", {**FORECAST, "target_c_d": 60})
    assert (found["reached_in_days"], found["low"], found["high"]) == (0, 0, 0)


def test_weather_that_never_varied_has_no_spread() -> None:
    found = evaluate("heat-forecast", FORECAST)
    assert (found["reached_in_days"], found["low"], found["high"]) == (8, 8, 8)


def test_a_missing_day_so_far_withholds_the_forecast() -> None:
    found = evaluate("heat-forecast", {**FORECAST, "daily_mean_c": [10, None]})
    assert found["reached_in_days"] is None and "not zero" in found["why_not"][0]


def test_few_days_so_far_give_no_interval() -> None:
    found = evaluate("heat-forecast", {**FORECAST, "daily_mean_c": [10, 12]})
    assert found["reached_in_days"] == 18 and found["low"] is None
    assert "need 10 days" in found["why_not"][0]


def test_days_ahead_that_are_too_few_are_named() -> None:
    varied = [8, 12, 9, 11, 10, 8, 12, 9, 11, 10, 12, 8]
    found = evaluate(
        "heat-forecast", {**FORECAST, "daily_mean_c": varied, "normal_c": [6] * 3, "target_c_d": 200}
    )
    assert [found["reached_in_days"], found["low"], found["high"]] == [None] * 3
    assert len(found["why_not"]) == 3


def test_figures_too_few_for_an_interval_still_differ() -> None:
    found = evaluate("days-gained", {"treated": [60], "control": [70, 72]})
    assert found["difference_days"] == -11 and found["gained_days"] == 11
    assert found["p"] is None and "two figures" in found["why_not"][0]


def test_one_pair_has_no_interval() -> None:
    found = evaluate("days-gained", {"treated": [60], "control": [70], "pairs": True})
    assert found["difference_days"] == -10 and found["low"] is None


def test_no_figures_at_all() -> None:
    found = evaluate("days-gained", {"treated": [], "control": [3]})
    assert found["difference_days"] is None and "at least one" in found["why_not"][0]


def test_figures_that_do_not_vary_have_no_p() -> None:
    found = evaluate("days-gained", {"treated": [60] * 6, "control": [70] * 6})
    assert (found["low"], found["high"], found["p"], found["cautions"]) == (-10, -10, None, [])


def test_pairs_must_be_pairs() -> None:
    assert refused("days-gained", {"treated": [1, 2], "control": [1], "pairs": True}) == "/control"


def test_blight_days_with_gaps() -> None:
    good = {"min_c": 12, "hours_rh_90": 8}
    found = evaluate("blight-days", {"days": [good, {"min_c": None, "hours_rh_90": 9}, good, good]})
    assert found["met"] == [3] and found["n_missing"] == 1 and "missed" in found["why_not"][0]
    assert "two days" in evaluate("blight-days", {"days": [good]})["why_not"][0]
    assert refused("blight-days", {"days": [{"min_c": 12, "hours_rh_90": 25}]}) == "/days/0/hours_rh_90"
