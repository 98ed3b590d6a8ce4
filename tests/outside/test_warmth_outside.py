"""Heat sums and emergence against published examples, NOAA days, and numerical integration."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.integrate import quad

from tests.outside.reading import about, rows
from underboard.core.agronomy import evaluate
from underboard.core.agronomy.warmth.crops import DAYS_TO_EMERGE, LOWEST_SOIL_F

# Columns: average, floored, triangle, sine. First row: University of California IPM and the TrenchR
# documentation print 0.29 (triangle) and 0.47 (sine); the others computed from the formulas.
ONE_DAY = [
    (7, 14, 12, 0, 1.0, 0.2857, 0.4681),
    (5, 20, 10, 2.5, 5.0, 3.3333, 3.7712),
    (2, 12, 7, 0, 2.5, 1.25, 1.5915),
    (4, 14, 4.5, 4.5, 4.75, 4.5125, 4.5477),
    (8, 18, 7, 6, 6, 6, 6),
    (-1, 9, 5, 0, 2.0, 0.8, 1.1235),
    (40, 70, 50, 5, 10, 6.6667, 7.5424),
]


@pytest.mark.parametrize("row", ONE_DAY)
def test_one_day_by_each_method(row: tuple[float, ...]) -> None:
    low, high, base, *wanted = row
    for method, want in zip(("average", "floored", "triangle", "sine"), wanted, strict=True):
        found = evaluate("degree-days", {"min_c": [low], "max_c": [high], "base_c": base, "method": method})
        assert found["total"] == pytest.approx(want, abs=6e-5), method


def test_the_figures_as_printed() -> None:
    """UC IPM: 0.29 and 0.47 degree-days for 7 to 14 above 12."""
    for method, want in (("triangle", 0.29), ("sine", 0.47)):
        found = evaluate("degree-days", {"min_c": [7], "max_c": [14], "base_c": 12, "method": method})
        assert round(found["total"], 2) == want


@pytest.mark.parametrize(("method", "want"), [("double_sine", 4.2002), ("double_triangle", 3.9394)])
def test_half_a_day_with_tomorrows_minimum(method: str, want: float) -> None:
    """5 to 20, then a minimum of 9, base 10 (computed)."""
    given = {"min_c": [5, 9], "max_c": [20, None], "base_c": 10, "method": method, "max_missing": 1}
    assert evaluate("degree-days", given)["daily"][0] == pytest.approx(want, abs=5e-5)


def test_horizontal_cut_off() -> None:
    """8 to 34, base 10: 11.2373, cut off at 30: 10.5606 (computed)."""
    day = {"min_c": [8], "max_c": [34], "base_c": 10}
    assert evaluate("degree-days", day)["total"] == pytest.approx(11.2373, abs=5e-5)
    assert evaluate("degree-days", {**day, "upper_c": 30})["total"] == pytest.approx(10.5606, abs=5e-5)


SEATTLE = {"base0_upperNone": (0, None), "base5_upperNone": (5, None), "base9_upperNone": (9, None),
           "base10_upperNone": (10, None), "base10_upper30": (10, 30), "base5_upper20": (5, 20)}  # fmt: skip


@pytest.mark.parametrize("key", SEATTLE)
def test_a_year_of_seattle(key: str) -> None:
    """NOAA daily summaries 2012 (vega-datasets 0.9.0); closed form checked by numerical integration there."""
    base_c, upper_c = SEATTLE[key]
    days = rows("seattle_2012_daily")
    given = {
        "min_c": [float(day["tmin_C"]) for day in days],
        "max_c": [float(day["tmax_C"]) for day in days],
        "base_c": base_c,
        **({} if upper_c is None else {"upper_c": upper_c}),
    }
    reference = about("seattle_2012_daily")["reference"][key]
    found = evaluate("degree-days", given)
    assert found["total"] == pytest.approx(reference["single_sine_total"], rel=1e-8)
    first = next(i for i, total in enumerate(np.cumsum(found["daily"])) if total >= 100)
    assert days[first]["date"] == reference["first_date_ge_100"]
    average = evaluate("degree-days", {**given, "method": "average"})["total"]
    assert average == pytest.approx(reference["simple_average_total"], rel=1e-9)


@settings(max_examples=80, deadline=None)
@given(
    low=st.floats(-20, 35),
    span=st.floats(0.01, 25),
    base_c=st.floats(-10, 30),
    above=st.floats(0.5, 20),
    shape=st.sampled_from(["sine", "triangle"]),
)
def test_one_day_by_numerical_integration(
    low: float, span: float, base_c: float, above: float, shape: str
) -> None:
    """scipy.integrate.quad over half a wave, clipped between base and cut-off."""
    high, upper_c = low + span, base_c + above

    def air(t: float) -> float:
        share = (1 - math.cos(math.pi * t)) / 2 if shape == "sine" else t
        return low + span * share

    def time_of(level: float) -> float:
        share = min(1.0, max(0.0, (level - low) / span))
        return math.acos(1 - 2 * share) / math.pi if shape == "sine" else share

    cuts = sorted({0.0, time_of(base_c), time_of(upper_c), 1.0})
    want = sum(
        quad(lambda t: min(max(air(t), base_c), upper_c) - base_c, start, end)[0]
        for start, end in pairwise(cuts)
    )
    given = {"min_c": [low], "max_c": [high], "base_c": base_c, "upper_c": upper_c, "method": shape}
    assert evaluate("degree-days", given)["total"] == pytest.approx(want, abs=1e-7)


def test_p_days() -> None:
    """Sands 1979 (from memory): 10 to 20 °C 7.3885, 5 to 15 °C 3.4769 (computed)."""
    found = evaluate("p-days", {"min_c": [10, 5], "max_c": [20, 15]})
    assert found["daily"] == pytest.approx([7.3885, 3.4769], abs=5e-5)


THERMAL = [("carrot", 2.73, 121.7), ("onion", 2.57, 87.8), ("lettuce", 1.57, 55.1), ("pea", 1.59, 120.0)]


@pytest.mark.parametrize(("crop", "base_c", "theta"), THERMAL)
def test_thermal_time_of_four_crops(crop: str, base_c: float, theta: float) -> None:
    """1/days on temperature over 5 to 20 °C (pea 5 to 15), fitted to Harrington & Minges 1954."""
    found = evaluate("emergence", {"crop": crop, "soil_c": 12})
    assert found["base_c"] == pytest.approx(base_c, abs=5e-3)
    assert found["thermal_time_c_d"] == pytest.approx(theta, abs=0.05)


# Harrington & Minges 1954 at 0, 5, 10, 15, 20, 25 °C as printed by Oregon State University (2013);
# None: no germination, or not given.
TABLE = {
    "carrot": (None, 51, 17, 10, 7, 6),
    "onion": (136, 31, 13, 7, 5, 4),
    "pea": (None, 36, 14, 9, 8, 6),
    "cabbage": (None, None, 15, 9, 6, 5),
    "lettuce": (49, 15, 7, 4, 3, 2),
    "parsnip": (172, 57, 27, 19, 14, 15),
    "pepper": (None, None, None, 25, 13, 8),
    "bean": (None, None, None, 16, 11, 8),
    "beet": (None, 42, 17, 10, 6, 5),
}


@pytest.mark.parametrize("crop", TABLE)
def test_the_kept_rows_are_the_printed_ones(crop: str) -> None:
    printed = dict(zip((0, 5, 10, 15, 20, 25), TABLE[crop], strict=True))
    assert {t: printed[int(t)] for t in DAYS_TO_EMERGE[crop]} == dict(DAYS_TO_EMERGE[crop])


@pytest.mark.parametrize("crop", TABLE)
def test_the_line_is_least_squares_and_its_band_holds_the_table(crop: str) -> None:
    """numpy.polyfit of 1/days; every printed figure of the fitted range lies between low and high."""
    temperatures, days = zip(*DAYS_TO_EMERGE[crop].items(), strict=True)
    slope, start = np.polyfit(temperatures, 1 / np.array(days), 1)
    for soil_c, printed in DAYS_TO_EMERGE[crop].items():
        found = evaluate("emergence", {"crop": crop, "soil_c": soil_c})
        assert found["days"] == pytest.approx(1 / (start + slope * soil_c), rel=1e-9)
        assert found["low_days"] <= printed <= found["high_days"]


@pytest.mark.parametrize(
    ("crops", "fahrenheit", "celsius"),
    [
        ("lettuce onion parsnip spinach", 35, 1.7),
        ("beet cabbage carrot pea radish", 40, 4.4),
        ("tomato maize asparagus", 50, 10.0),
        ("bean cucumber pepper squash", 60, 15.6),
        ("potato", 45, 7.2),  # second hand
    ],
)
def test_lowest_soil_temperatures(crops: str, fahrenheit: float, celsius: float) -> None:
    """Oregon State University extension, whole °F."""
    for crop in crops.split():
        assert LOWEST_SOIL_F[crop] == fahrenheit
        found = evaluate("soil-window", {"crop": crop, "soil_c": [celsius + 0.1] * 5})
        assert found["base_c"] == pytest.approx(celsius, abs=0.05)


def test_heat_forecast_holds_the_true_day_at_seattle() -> None:
    """Thirty days known, then a smooth normal (two harmonics of the same year, so the normal is known)."""
    days = rows("seattle_2012_daily")
    mean = np.array([(float(day["tmin_C"]) + float(day["tmax_C"])) / 2 for day in days])
    turn = 2 * np.pi * np.arange(len(mean)) / 366
    waves = np.column_stack([np.ones(len(mean)), *(f(k * turn) for k in (1, 2) for f in (np.cos, np.sin))])
    normal = waves @ np.linalg.lstsq(waves, mean, rcond=None)[0]
    held = tried = 0
    for start in range(0, 240, 5):
        for target in (100, 200, 400, 800):
            so_far, ahead = mean[start : start + 30], normal[start + 30 :]
            found = evaluate(
                "heat-forecast",
                {"daily_mean_c": list(so_far), "normal_c": list(ahead), "base_c": 5, "target_c_d": target},
            )
            sums = np.maximum(so_far - 5, 0).sum() + np.cumsum(np.maximum(mean[start + 30 :] - 5, 0))
            reached = np.flatnonzero(sums >= target)
            if found["reached_in_days"] and found["low"] and found["high"] and len(reached):
                tried += 1
                held += found["low"] <= reached[0] + 1 <= found["high"]
    assert (held, tried) == (122, 124)  # as the docstring says


groups = st.lists(st.floats(0, 400), min_size=2, max_size=15)


@settings(max_examples=80, deadline=None)
@given(treated=groups, control=groups, level=st.floats(0.5, 0.999))
def test_days_gained_is_welchs_test(treated: list[float], control: list[float], level: float) -> None:
    """scipy.stats.ttest_ind(equal_var=False)."""
    # scipy warns of lost digits where one side hardly varies
    assume(min(np.std(treated), np.std(control)) > 1e-3)
    found = evaluate("days-gained", {"treated": treated, "control": control, "level": level})
    reference = stats.ttest_ind(treated, control, equal_var=False)
    interval = reference.confidence_interval(level)
    assert found["difference_days"] == pytest.approx(np.mean(treated) - np.mean(control), abs=1e-9)
    assert found["p"] == pytest.approx(reference.pvalue, rel=1e-6, abs=1e-12)
    assert (found["low"], found["high"]) == pytest.approx((interval.low, interval.high), rel=1e-6, abs=1e-7)


@settings(max_examples=50, deadline=None)
@given(pairs=st.lists(st.tuples(st.floats(0, 400), st.floats(0, 400)), min_size=3, max_size=15))
def test_days_gained_in_pairs(pairs: list[tuple[float, float]]) -> None:
    """scipy.stats.ttest_rel."""
    treated, control = (list(side) for side in zip(*pairs, strict=True))
    assume(np.std(np.subtract(treated, control)) > 1e-3)
    found = evaluate("days-gained", {"treated": treated, "control": control, "pairs": True})
    reference = stats.ttest_rel(treated, control)
    interval = reference.confidence_interval(0.95)
    assert found["p"] == pytest.approx(reference.pvalue, rel=1e-6, abs=1e-12)
    assert (found["low"], found["high"]) == pytest.approx((interval.low, interval.high), rel=1e-6, abs=1e-7)


def test_blight_days() -> None:
    """Hutton criteria (James Hutton Institute and AHDB 2017, from memory)."""
    days = [(10, 6), (10, 6), (9.9, 12), (12, 6), (12, 5.9), (11, 8), (11, 8), (11, 8)]
    found = evaluate("blight-days", {"days": [{"min_c": t, "hours_rh_90": h} for t, h in days]})
    assert found["met"] == [1, 6, 7]
