"""What the frost calculations do at their edges."""

from __future__ import annotations

from typing import Any

import pytest

from underboard.core.agronomy import evaluate
from underboard.core.errors import InputFault


def refused(name: str, given: dict[str, Any]) -> str:
    with pytest.raises(InputFault) as caught:
        evaluate(name, given)
    return caught.value.pointer


def night(evening_c: float, dew_c: float | None, min_c: float) -> dict[str, float | None]:
    return {"evening_c": evening_c, "dew_c": dew_c, "min_c": min_c}


NIGHTS = [night(t, t - g, t - d) for t, g, d in ((3, 4, 5), (6, 2, 3.5), (1, 5, 6), (8, 7, 6.5), (5, 1, 3),
          (4, 6, 6), (7, 3, 4), (2, 2, 4.5), (9, 5, 5), (0, 4, 5.5))]  # fmt: skip


@pytest.mark.parametrize(
    ("given", "pointer"),
    [
        ({}, "/rh_percent"),
        ({"rh_percent": 50, "dew_c": 1}, "/dew_c"),
        ({"rh_percent": 50, "wet_c": 1}, "/wet_c"),
        ({"dew_c": 11}, "/dew_c"),
        ({"wet_c": 11}, "/wet_c"),
        ({"wet_c": -9}, "/wet_c"),
        ({"rh_percent": 0}, "/rh_percent"),
        ({"rh_percent": 101}, "/rh_percent"),
        ({"rh_percent": 50, "formula": "stull"}, "/formula"),
    ],
)
def test_nonsense_humidity_is_refused(given: dict[str, Any], pointer: str) -> None:
    assert refused("humidity", {"air_c": 10, **given}) == pointer


def test_what_was_measured_comes_back_unchanged() -> None:
    assert evaluate("humidity", {"air_c": 8, "wet_c": 6})["wet_bulb_c"] == 6
    assert evaluate("humidity", {"air_c": 8, "dew_c": 3})["dew_c"] == 3
    assert evaluate("humidity", {"air_c": 8, "rh_percent": 71})["rh_percent"] == 71


def test_saturated_air_is_one_temperature() -> None:
    for formula in ("wmo", "fao56"):
        found = evaluate("humidity", {"air_c": 4, "rh_percent": 100, "formula": formula})
        assert found["dew_c"] == pytest.approx(4) and found["wet_bulb_c"] == pytest.approx(4)
        assert found["deficit_kpa"] == pytest.approx(0, abs=1e-12)


def test_ice_and_the_limits_of_the_formula_are_said() -> None:
    assert "ice" in evaluate("humidity", {"air_c": 0, "wet_c": -1})["cautions"][0]
    assert "over water" in evaluate("humidity", {"air_c": 3, "rh_percent": 50})["cautions"][0]
    assert "Outside" in evaluate("humidity", {"air_c": 65, "rh_percent": 50})["cautions"][0]
    assert "Outside" in evaluate("humidity", {"air_c": -40, "rh_percent": 10})["cautions"][0]
    assert evaluate("humidity", {"air_c": 20, "rh_percent": 50})["cautions"] == []


def test_nights_that_contradict_themselves_are_refused() -> None:
    assert refused("frost-fit", {"nights": [*NIGHTS, night(1, 2, -3)]}) == "/nights/10/dew_c"
    assert refused("frost-fit", {"nights": [night(1, None, -3)]}) == "/nights/0/dew_c"
    assert refused("frost-fit", {"nights": NIGHTS, "method": "best"}) == "/method"


def test_no_nights_and_too_few_nights_say_so() -> None:
    for given in ([], NIGHTS[:2]):
        found = evaluate("frost-fit", {"nights": given})
        assert found["intercept"] is None and found["why_not"]
    three = evaluate("frost-fit", {"nights": NIGHTS[:3]})
    assert three["intercept"] is not None and three["rmse_residual"] is None and three["loo_rmse"] is None
    assert "Only 3 nights" in three["cautions"][1]


def test_a_single_night_has_a_drop_and_no_error() -> None:
    found = evaluate("frost-fit", {"nights": NIGHTS[:1], "method": "mean_drop"})
    assert found["intercept"] == -5 and found["evening_coef"] == 1
    assert found["loo_rmse"] is None and found["rmse_residual"] is None


@pytest.mark.parametrize("method", ["two_step", "joint", "evening_only"])
def test_nights_all_alike_cannot_carry_a_line(method: str) -> None:
    found = evaluate("frost-fit", {"nights": [night(3, -1, -2)] * 9, "method": method})
    assert found["intercept"] is None and "too much alike" in found["why_not"][0]
    assert found["best_method"] == "mean_drop"


@pytest.mark.parametrize("method", ["two_step", "joint"])
def test_dew_points_that_say_nothing_new_cannot_carry_a_line(method: str) -> None:
    same_dew = [night(t, -20, t - 5 + t % 3) for t in range(9)]
    along = [night(t, t - 2, t - 5 + t % 3) for t in range(9)]
    alike = same_dew if method == "two_step" else along
    assert evaluate("frost-fit", {"nights": alike, "method": method})["intercept"] is None
    assert evaluate("frost-fit", {"nights": alike, "method": "evening_only"})["intercept"] is not None


def test_a_regression_that_does_not_beat_the_usual_drop_is_told() -> None:
    steady = [night(t, t - 3 - (t * 7) % 5, t - 5 - (0.3 if t % 2 else -0.3)) for t in range(10)]
    found = evaluate("frost-fit", {"nights": steady})
    assert found["loo_rmse"] > found["loo_rmse_mean_drop"] and found["best_method"] == "mean_drop"
    assert any("usual drop" in said for said in found["cautions"])
    told = evaluate("frost-tonight", {"nights": steady, "evening_c": 5, "dew_c": 0})
    assert told["method"] == "mean_drop" and told["min_c"] == pytest.approx(0)
    assert told["inside_fitted_range"] is True


def test_nights_without_dew_points_fit_by_evening() -> None:
    dry = [{"evening_c": n["evening_c"], "min_c": n["min_c"]} for n in NIGHTS]
    fit = evaluate("frost-fit", {"nights": dry, "method": "evening_only"})
    assert fit["dew_coef"] == 0 and fit["dew_low_c"] is None and "No dew points" in fit["why_not"][0]
    told = evaluate("frost-tonight", {"fit": fit, "evening_c": 5, "dew_c": 0})
    assert told["inside_fitted_range"] is True and told["method"] == "evening_only"


def test_tonight_needs_either_nights_or_a_fit() -> None:
    tonight = {"evening_c": 5, "dew_c": 0, "critical_c": [0]}
    fit = evaluate("frost-fit", {"nights": NIGHTS})
    assert refused("frost-tonight", tonight) == "/nights"
    assert refused("frost-tonight", {**tonight, "nights": NIGHTS, "fit": fit}) == "/nights"
    assert refused("frost-tonight", {**tonight, "dew_c": 6, "fit": fit}) == "/dew_c"


@pytest.mark.parametrize("method", ["two_step", "joint", "evening_only", "mean_drop"])
def test_a_kept_fit_answers_like_its_nights(method: str) -> None:
    tonight = {"evening_c": 5, "dew_c": 0, "critical_c": [0, -2], "offset_c": 1, "offset_sd_c": 0.5}
    fit = evaluate("frost-fit", {"nights": NIGHTS, "method": method})
    kept = evaluate("frost-tonight", {**tonight, "fit": fit})
    assert kept == evaluate("frost-tonight", {**tonight, "nights": NIGHTS, "method": method})
    assert kept["fitted_to_plot"] is True and kept["low_c"] < kept["min_c"] < kept["high_c"]
    assert kept["chances"][0]["p"] > kept["chances"][1]["p"]


def test_a_cover_moves_the_figure_and_widens_it() -> None:
    tonight = {"evening_c": 5, "dew_c": 0, "nights": NIGHTS}
    bare = evaluate("frost-tonight", tonight)
    covered = evaluate("frost-tonight", {**tonight, "offset_c": 2, "offset_sd_c": 1})
    assert covered["min_c"] == pytest.approx(bare["min_c"] + 2)
    assert covered["high_c"] - covered["low_c"] > bare["high_c"] - bare["low_c"]
    assert covered["chances"][0]["p"] < bare["chances"][0]["p"]


def test_too_few_nights_borrow_from_public_stations_and_say_so() -> None:
    for given in ([], NIGHTS[:7]):
        told = evaluate("frost-tonight", {"nights": given, "evening_c": 6, "dew_c": 0})
        assert told["fitted_to_plot"] is False and told["inside_fitted_range"] is False
        assert told["cautions"][0].startswith("Not fitted to your plot yet")
        assert told["high_c"] - told["low_c"] > 8
    assert (
        evaluate("frost-tonight", {"nights": NIGHTS[:8], "evening_c": 6, "dew_c": 0})["fitted_to_plot"]
        is True
    )


def test_nights_all_alike_borrow_too() -> None:
    alike = evaluate("frost-fit", {"nights": [night(3, -1, -2)] * 9})
    told = evaluate("frost-tonight", {"fit": alike, "evening_c": 6, "dew_c": 0})
    assert told["fitted_to_plot"] is False and "too much alike" in told["cautions"][0]


SHORT = {"intercept": -5, "evening_coef": 0.5, "dew_coef": 0.1, "n": 12}


def test_a_fit_that_carries_little_is_answered_with_what_it_has() -> None:
    bare = evaluate("frost-tonight", {"fit": SHORT, "evening_c": 6, "dew_c": 0})
    assert bare["min_c"] == -2 and bare["low_c"] is None and bare["chances"][0]["p"] is None
    assert bare["inside_fitted_range"] is None and len(bare["why_not"]) == 2
    with_error = evaluate("frost-tonight", {"fit": {**SHORT, "rmse": 1}, "evening_c": 6, "dew_c": 0})
    assert with_error["sd_c"] == pytest.approx(((12 / 9) * (1 + 1 / 12)) ** 0.5)
    half = {
        **SHORT,
        "rmse": 1,
        "evening_low_c": 0,
        "evening_high_c": 9,
        "evening_mean_c": 5,
        "evening_ss_c2": 40,
    }
    assert evaluate("frost-tonight", {"fit": half, "evening_c": 6, "dew_c": 0})["inside_fitted_range"] is None
    assert (
        evaluate("frost-tonight", {"fit": half, "evening_c": 10, "dew_c": 0})["inside_fitted_range"] is False
    )
    full = {**half, "dew_low_c": -5, "dew_high_c": 2}
    assert (
        evaluate("frost-tonight", {"fit": full, "evening_c": 6, "dew_c": 3})["inside_fitted_range"] is False
    )


def test_a_fit_without_any_error_is_certain() -> None:
    told = evaluate(
        "frost-tonight", {"fit": {**SHORT, "rmse": 0}, "evening_c": 6, "dew_c": 0, "critical_c": [-1, -3]}
    )
    assert [chance["p"] for chance in told["chances"]] == [1, 0]


def test_a_night_that_warms_is_refused() -> None:
    assert refused("night-curve", {"evening_c": 1, "min_c": 2, "night_hours": 10}) == "/min_c"
    assert refused("night-curve", {"evening_c": 1, "min_c": 0, "night_hours": 2}) == "/night_hours"


def test_a_night_that_does_not_cross_says_which_way() -> None:
    cold = evaluate("night-curve", {"evening_c": -1, "min_c": -4, "night_hours": 10})
    mild = evaluate("night-curve", {"evening_c": 9, "min_c": 4, "night_hours": 10})
    flat = evaluate(
        "night-curve", {"evening_c": 3, "min_c": 3, "night_hours": 10, "hours": [5], "critical_c": 2}
    )
    assert [found["crosses_at_hour"] for found in (cold, mild, flat)] == [None] * 3
    assert "before the curve starts" in cold["why_not"][0]
    assert "does not come down" in mild["why_not"][0]
    assert flat["points"][0]["air_c"] == 3 and flat["coef"] == 0


def test_the_minimum_is_crossed_at_sunrise() -> None:
    found = evaluate("night-curve", {"evening_c": 4.4, "min_c": 0, "night_hours": 9.7})
    assert found["crosses_at_hour"] == pytest.approx(9.7) and found["crosses_at_hour"] <= 9.7


def test_hours_outside_the_night_are_left_empty() -> None:
    found = evaluate("night-curve", {"evening_c": 4, "min_c": 0, "night_hours": 10, "hours": [1, 2, 10, 11]})
    assert [point["air_c"] for point in found["points"]] == [None, 4, 0, None]
    assert "2 to 10 hours" in found["why_not"][0]


def test_covers_are_counted_on_only_after_five_cold_nights() -> None:
    outside = [-1, -2, -3, -4, -5]
    warm = evaluate("cover-offset", {"outside_c": outside[:4], "inside_c": [1, 0, -1, -2]})
    assert warm["lowest_c"] == 2 and warm["plan_with_c"] == 0 and "Only 4 cold nights" in warm["cautions"][0]
    known = evaluate("cover-offset", {"outside_c": outside, "inside_c": [1, 0, 0, -1, -2]})
    assert known["plan_with_c"] == pytest.approx(2)
    colder = evaluate("cover-offset", {"outside_c": outside, "inside_c": [-2, -3, -1, -2, -3]})
    assert colder["plan_with_c"] == pytest.approx(-1)
    assert any("colder under the cover" in said for said in colder["cautions"])


def test_covers_with_nothing_known_yet() -> None:
    none = evaluate("cover-offset", {"outside_c": [None, 1], "inside_c": [2, None]})
    assert (none["n"], none["n_missing"], none["plan_with_c"], none["mean_c"]) == (0, 2, 0, None)
    one = evaluate("cover-offset", {"outside_c": [1], "inside_c": [3]})
    assert one["mean_c"] == 2 and one["sd_c"] is None and one["mean_cold_c"] is None
    assert len(one["why_not"]) == 2
    assert refused("cover-offset", {"outside_c": [1], "inside_c": []}) == "/inside_c"


def test_frost_free_years_are_a_part_of_their_own() -> None:
    """Two of ten years without frost: 90 % of all years is 87.5 % of the years with frost (0.7 / 0.8)."""
    days = [98, 110, 121, 104, 131, 115, 126, 108, None, None]
    found = evaluate("last-frost", {"days": days, "share": 0.9, "by_day": 120})
    frosts = evaluate("last-frost", {"days": days[:8], "share": 0.875})
    assert (found["n"], found["n_without"], found["p_after"]) == (10, 2, 0.3)
    assert found["empirical_day"] == pytest.approx(frosts["empirical_day"])
    assert found["normal_day"] == pytest.approx(frosts["normal_day"])


def test_a_share_that_frost_free_years_alone_fill_needs_no_day() -> None:
    found = evaluate("last-frost", {"days": [100, 110, None, None], "share": 0.5, "by_day": 90})
    assert found["normal_day"] is None and any("no day is needed" in said for said in found["why_not"])


@pytest.mark.parametrize(("days", "n"), [([], 0), ([None], 1), ([100], 1)])
def test_few_years_give_what_they_can(days: list[int | None], n: int) -> None:
    found = evaluate("last-frost", {"days": days, "by_day": 90})
    assert found["n"] == n and found["sd"] is None and found["why_not"]
    assert (found["p_after"] is None) == (n == 0)


def test_twenty_years_need_no_caution() -> None:
    assert evaluate("last-frost", {"days": list(range(100, 120)), "by_day": 90})["cautions"] == []
    assert evaluate("lowest-return", {"minima_c": list(range(-20, 0)), "years": [5]})["cautions"] == []


@pytest.mark.parametrize(("p", "years", "want"), [(0, 9, 0), (1, 1, 1), (1, 0, 0), (1e-12, 1e6, 1e-6)])
def test_risk_at_its_ends(p: float, years: float, want: float) -> None:
    assert evaluate("risk", {"p": p, "years": years})["risk"] == pytest.approx(want, rel=1e-5)


def test_return_levels_need_two_years_and_a_period_above_one() -> None:
    found = evaluate("lowest-return", {"minima_c": [-3], "years": [5, 10]})
    assert found["scale"] is None and found["levels_c"] == [None, None]
    assert refused("lowest-return", {"minima_c": [-3, -4], "years": [1]}) == "/years/0"
    same = evaluate("lowest-return", {"minima_c": [-3, -3], "years": [5]})
    assert same["levels_c"] == [-3] and any("a guess" in said for said in same["cautions"])
