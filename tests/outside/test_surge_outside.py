"""Alarms and trends against R surveillance, pymannkendall, scipy, statsmodels and published worked examples."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

from tests.outside.farrington_reference import limit_by_statsmodels
from tests.outside.reading import about, rows
from underboard.core.agronomy import evaluate
from underboard.core.agronomy.surge.farrington import two_thirds_limit

AGONA = [int(row["count"]) for row in rows("salmonella_agona_weekly")]
REFERENCE = about("salmonella_agona_weekly")["reference"]


def weeks(answer: dict[str, Any], first: int = 1) -> list[int]:
    """Weeks in alarm, counted from 1 as R does."""
    return [point["i"] + first for point in answer["points"] if point["alarm"]]


@pytest.mark.parametrize("kind", ["C1", "C2"])
def test_ears(kind: str) -> None:
    """R surveillance 1.20.3, earsC: alarms and upper bounds, week by week."""
    found = evaluate("surge", {"method": f"ears_{kind.lower()}", "counts": AGONA})
    want = REFERENCE[f"ears_{kind}"]
    assert weeks(found) == want["alarm_weeks"]
    assert found["points"][0]["i"] + 1 == want["first_week_tested"]
    limits = [point["limit"] for point in found["points"]]
    assert limits == pytest.approx(want["upperbound"], abs=1e-8)


def test_ears_with_a_floor() -> None:
    """R surveillance 1.20.3, minSigma 0.5."""
    found = evaluate("surge", {"method": "ears_c1", "counts": AGONA, "min_sd": 0.5})
    assert weeks(found) == REFERENCE["ears_C1_minSigma05"]["alarm_weeks"]


def test_ears_c3_by_its_definition() -> None:
    """Sum over three weeks of max(0, C2 - 1) above 2, floor 0.5: computed from the published definition."""
    found = evaluate("surge", {"method": "ears_c3", "counts": AGONA, "min_sd": 0.5})
    assert weeks(found) == REFERENCE["ears_C3_definition_own"]["alarm_weeks"]


def test_the_c3_bound_of_r_cannot_see_the_newest_count() -> None:
    """Why no R reference for C3: surveillance 1.20.3 sets the bound to ``observed + sd (z - earlier terms)`` and
    then asks whether ``observed > bound`` (earsC.R, lines of method C3). Written out here, the answer is the same
    whatever the newest count is: only the two earlier weeks decide, and only when they add up beyond z."""

    def bound_of_r(newest: float, earlier: list[float], window: list[int]) -> float:
        sd = float(np.std(window, ddof=1))
        terms = sum(max(0.0, c2 - 1) for c2 in earlier)
        return max(0.0, newest + sd * (stats.norm.ppf(0.975) - terms))

    window = [3, 5, 2, 4, 6, 3, 5]
    for earlier, alarm in (([0.0, 0.0], False), ([2.5, 2.0], True)):
        assert {newest > bound_of_r(newest, earlier, window) for newest in (6, 60, 6000)} == {alarm}
    # The definition does see it: a tenfold count after a quiet series is a C3 alarm.
    quiet = [3, 5, 2, 4, 6, 3, 5, 4, 3, 4, 5]
    assert weeks(evaluate("surge", {"method": "ears_c3", "counts": [*quiet, 60]})) == [12]


def test_limits_of_the_seven_counts() -> None:
    """Base 3 5 2 4 6 3 5: mean 4, sd 1.414214, limit 8.3702 at z of 0.999 (computed)."""
    found = evaluate("surge", {"method": "ears_c1", "counts": [3, 5, 2, 4, 6, 3, 5, 9]})["points"][0]
    assert (found["expected"], found["limit"]) == (4, pytest.approx(8.3702, abs=5e-5))
    three = {"method": "ears_c1", "counts": [3, 5, 2, 4, 6, 3, 5, 9], "alpha": float(stats.norm.sf(3))}
    assert evaluate("surge", three)["points"][0]["limit"] == pytest.approx(8.2426, abs=5e-5)


def test_farrington() -> None:
    """R surveillance 1.20.3, algo.farrington, b 3, w 3, alpha 0.01: alarms, and bounds to 1e-6.

    R writes the bound as 0 where fewer than 5 cases in 4 weeks rule an alarm out.
    """
    want = REFERENCE["farrington"]
    given = {"method": "farrington", "counts": AGONA, "b": 3, "w": 3, "frequency": 52, "alpha": 0.01}
    points = {point["i"] + 1: point for point in evaluate("surge", given)["points"]}
    first, last = want["range"]
    assert [week for week in range(first, last + 1) if points[week]["alarm"]] == want["alarm_weeks"]
    for week, bound in zip(range(first, last + 1), want["upperbound"], strict=True):
        if bound == 0:
            assert sum(AGONA[week - 4 : week]) < 5 and not points[week]["alarm"]
        else:
            assert points[week]["limit"] == pytest.approx(bound, rel=1e-6), week


def test_two_thirds_power_limit() -> None:
    """m 4, phi 2, var 0.5, z of 0.975: U 10.9120, and 12 scores 1.1574 (computed from the published formula)."""
    given = (np.array([4.0]), np.array([0.5]), np.array([2.0]), stats.norm.ppf(0.975))
    limit = float(two_thirds_limit(*given)[0])
    assert limit == pytest.approx(10.9120, abs=1.5e-4) and 8 / (limit - 4) == pytest.approx(1.1574, abs=5e-5)


@given(series=st.lists(st.integers(0, 25), min_size=24, max_size=24), rate=st.floats(0.002, 0.2))
@settings(max_examples=40, deadline=None)
def test_farrington_by_statsmodels(series: list[int], rate: float) -> None:
    """Every step done again with statsmodels 0.15 (R's and our early stop leaves about 1e-4 between)."""
    assume(sum(series[:20]) > 30)
    b, w, frequency = 3, 1, 6
    given = {"method": "farrington", "counts": series, "b": b, "w": w, "frequency": frequency, "alpha": rate}
    offsets = [-year * frequency + shift for year in (3, 2, 1) for shift in (-1, 0, 1)]
    for point in evaluate("surge", given)["points"][:2]:
        reference = [series[point["i"] + offset] for offset in offsets]
        # All-zero years make the slope run away; there only R's stopping rule would decide.
        assume(all(sum(reference[k : k + 3]) > 0 for k in (0, 3, 6)))
        mean, limit = limit_by_statsmodels(reference, offsets, rate)
        assert point["expected"] == pytest.approx(mean, rel=2e-3)
        assert point["limit"] == pytest.approx(limit, rel=2e-3)


def test_cusum() -> None:
    """R surveillance 1.20.3, algo.cusum (no reset), on (x - m)/sqrt m of the first 52 weeks."""
    want = REFERENCE["cusum"]
    given = {"method": "cusum", "counts": AGONA[52:], "k": want["k"], "h": want["h"]}
    standard = {"mean": sum(AGONA[:52]) / 52, "variance": "poisson"}
    assert weeks(evaluate("surge", {**given, "standardise": standard}), 53) == want["alarm_weeks"]
    assert weeks(evaluate("surge", {**given, "standardise": True, **standard}), 53) == want["alarm_weeks"]
    reset = evaluate("surge", {**given, "standardise": standard, "reset": True})
    assert weeks(reset, 53) == REFERENCE["cusum_with_reset_own"]["alarm_weeks"]


def test_cusum_path() -> None:
    """Lucas 1985: y 2 1 3 2 4 5 6 3 7 with k 3 gives 0 0 0 0 1 3 6 6 10 (by hand)."""
    found = evaluate("surge", {"method": "cusum", "counts": [2, 1, 3, 2, 4, 5, 6, 3, 7], "k": 3, "h": 5})
    assert [point["score"] for point in found["points"]] == [0, 0, 0, 0, 1, 3, 6, 6, 10]
    assert weeks(found) == [7, 8, 9]


@pytest.mark.parametrize(
    ("k", "h", "mean", "rounds"),
    [
        (3, 5, 2, 188.5),
        (3, 5, 4, 5.2),
        (3, 6, 2, 412.5),
        (3, 6, 4, 6.2),
        (5.5, 8, 4, 608.5),
        (5.5, 8, 8, 3.9),
    ],
)
def test_cusum_runs_as_long_as_it_should(k: float, h: float, mean: float, rounds: float) -> None:
    """Average run lengths of a Poisson CUSUM by Markov chain (after Lucas 1985), against simulated series."""
    rng = np.random.default_rng(17)
    lengths: list[int] = []
    for _ in range(4):
        series = [int(x) for x in rng.poisson(mean, 20_000)]
        found = evaluate("surge", {"method": "cusum", "counts": series, "k": k, "h": h, "reset": True})
        lengths += list(np.diff([-1, *(point["i"] for point in found["points"] if point["alarm"])]))
    error = np.std(lengths) / math.sqrt(len(lengths))
    assert np.mean(lengths) == pytest.approx(rounds, abs=4 * error + 0.06)


def test_trend_by_hand() -> None:
    """Worked example of Holy Cross: S 54, variance 332.6667, Z 2.9058, one-sided p 0.0018; slope 0.566667."""
    values = [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]
    found = evaluate("trend", {"values": values})
    assert found["s"] == 54 and found["variance_s"] == pytest.approx(332.6667, abs=5e-5)
    assert found["z"] == pytest.approx(2.9058, abs=5e-5) and found["p"] / 2 == pytest.approx(0.0018, abs=5e-5)
    assert found["slope"] == pytest.approx(0.566667, abs=5e-7)
    assert (found["slope_low"], found["slope_high"]) == pytest.approx((0.3250, 0.8667), abs=5e-5)


def nottingham() -> tuple[list[float], list[float], list[float]]:
    months = [float(row["temp_F"]) for row in rows("nottem_monthly")]
    years = sorted({int(row["year"]) for row in rows("nottem_monthly")})
    annual = [math.fsum(months[i : i + 12]) / 12 for i in range(0, len(months), 12)]
    return months, [float(year) for year in years], annual


def agrees(found: dict[str, Any], want: dict[str, Any]) -> None:
    assert found["s"] == want["S"] and found["variance_s"] == want["varS_tie_corrected"]
    pairs = (
        ("z", "z_continuity_corrected"), ("p", "p_two_sided"), ("tau_a", "tau_a_pymannkendall"),
        ("tau_b", "tau_b"), ("slope", "sen_slope"), ("intercept", "sen_intercept_scipy"), ("lag1", "lag1_autocorr"),
    )  # fmt: skip
    for ours, theirs in pairs:
        assert found[ours] == pytest.approx(want[theirs], rel=1e-6), ours
    assert (found["slope_low"], found["slope_high"]) == pytest.approx(tuple(want["sen_ci95"]), rel=1e-6)


def test_nottingham_years() -> None:
    """pymannkendall 1.4.3 and scipy 1.17.1 (Sen limits with ranks to the nearest)."""
    _, years, annual = nottingham()
    found = evaluate("trend", {"values": annual, "times": years})
    agrees(found, about("nottem_monthly")["reference"]["annual_mean_F"])
    celsius = evaluate("trend", {"values": [(f - 32) / 1.8 for f in annual], "times": years})
    assert celsius["slope"] == pytest.approx(0.04139660494, rel=1e-8)
    assert not found["cautions"]


def test_nottingham_months() -> None:
    """Seasonal Mann-Kendall and slope a year, pymannkendall 1.4.3."""
    months, _, _ = nottingham()
    want = about("nottem_monthly")["reference"]["seasonal_mk"]
    found = evaluate("trend", {"values": months, "period": 12})
    assert found["s"] == want["S"] and found["variance_s"] == want["varS"]
    assert (found["z"], found["p"]) == pytest.approx((want["z"], want["p"]), rel=1e-6)
    assert found["tau_a"] == pytest.approx(want["tau"], rel=1e-8)
    assert found["slope"] == pytest.approx(want["seasonal_sen_slope_F_per_year"], rel=1e-9)


def test_new_haven() -> None:
    """60 years with 17 groups of ties; neighbours go together and the caution says so."""
    table = rows("nhtemp_annual")
    given = {
        "values": [float(row["temp_F"]) for row in table],
        "times": [float(row["year"]) for row in table],
    }
    found = evaluate("trend", given)
    agrees(found, about("nhtemp_annual")["reference"])
    assert any("lag-1" in caution for caution in found["cautions"])


@given(values=st.lists(st.integers(0, 15), min_size=4, max_size=40))
@settings(max_examples=100, deadline=None)
def test_trend_is_that_of_pymannkendall_and_scipy(values: list[int]) -> None:
    """pymannkendall.original_test; scipy.stats.theilslopes and kendalltau."""
    import pymannkendall

    assume(len(set(values)) > 1)
    found = evaluate("trend", {"values": values})
    want = pymannkendall.original_test(values)
    assert found["s"] == want.s and found["variance_s"] == pytest.approx(want.var_s)
    assert (found["z"], found["p"]) == pytest.approx((want.z, want.p), abs=1e-9)
    assert found["slope"] == pytest.approx(want.slope, abs=1e-12)
    assert found["intercept"] == pytest.approx(want.intercept, abs=1e-9)
    assert found["tau_b"] == pytest.approx(stats.kendalltau(range(len(values)), values).statistic, abs=1e-9)
    line = stats.theilslopes(values)
    if found["slope_low"] is not None and found["slope_high"] is not None:
        limits = (found["slope_low"], found["slope_high"])
        assert limits == pytest.approx((line.low_slope, line.high_slope), abs=1e-9)


@given(values=st.lists(st.integers(0, 15), min_size=12, max_size=40))
@settings(max_examples=60, deadline=None)
def test_seasonal_trend_is_that_of_pymannkendall(values: list[int]) -> None:
    """pymannkendall.seasonal_test and seasonal_sens_slope, period 4."""
    import pymannkendall

    values = values[: len(values) // 4 * 4]
    found = evaluate("trend", {"values": values, "period": 4})
    assume(found["variance_s"] > 0)
    want = pymannkendall.seasonal_test(values, period=4)
    assert found["s"] == want.s and found["variance_s"] == pytest.approx(want.var_s)
    assert (found["z"], found["p"]) == pytest.approx((want.z, want.p), abs=1e-9)
    assert found["slope"] == pytest.approx(want.slope, abs=1e-12)
