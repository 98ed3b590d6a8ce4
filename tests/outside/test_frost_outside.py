"""Frost calculations against published examples, public nights and independent least squares."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats
from statsmodels.api import OLS, add_constant

from tests.outside.reading import about, rows
from underboard.core.agronomy import evaluate
from underboard.core.agronomy.frost.public_nights import STATIONS, usual_drop

# The ten nights of the R package "frost" (its author: "data example taken from FAO Book"), for
# Snyder, R. L. & de Melo-Abreu, J. P. (2005), Frost protection, vol. 1, ch. 5, FAO.
EVENING = [3.2, 0.8, 0.2, 2.6, 4.4, 5.2, 2.7, 1.2, 4.5, 5.6]
DEW = [-4.2, -8.8, -6.5, -6.2, -6.1, 2.6, -0.7, -1.7, -1.2, 0.1]
MINIMUM = [-3.1, -5.0, -6.3, -5.4, -4.0, -2.5, -4.8, -5.0, -4.4, -3.3]


def nights(evening: list[float], dew: list[float], low: list[float]) -> list[dict[str, float]]:
    return [{"evening_c": x, "dew_c": d, "min_c": y} for x, d, y in zip(evening, dew, low, strict=True)]


FAO_NIGHTS = nights(EVENING, DEW, MINIMUM)


def test_two_steps_give_the_published_minimum() -> None:
    """R package frost, predFAO: -0.7409219 at 10 °C, dew point 2 °C."""
    found = evaluate("frost-tonight", {"nights": FAO_NIGHTS, "evening_c": 10, "dew_c": 2, "critical_c": [0]})
    assert found["min_c"] == pytest.approx(-0.7409219, abs=1e-6)
    assert found["inside_fitted_range"] is False
    assert found["method"] == "two_step"


def test_one_joint_fit_is_not_the_fao_method() -> None:
    """Ordinary least squares of both at once: 0.447298, 0.045073, -5.592397 and -1.02927 (computed)."""
    found = evaluate("frost-fit", {"nights": FAO_NIGHTS, "method": "joint"})
    assert found["evening_coef"] == pytest.approx(0.447298, abs=1e-6)
    assert found["dew_coef"] == pytest.approx(0.045073, abs=1e-6)
    assert found["intercept"] == pytest.approx(-5.592397, abs=1e-6)
    told = evaluate("frost-tonight", {"fit": found, "evening_c": 10, "dew_c": 2, "critical_c": [0]})
    assert told["min_c"] == pytest.approx(-1.02927, abs=1e-5)


def test_the_first_step_alone() -> None:
    """Slope 0.502812, intercept -5.908549, RMSE with divisor n - 2 of 0.7128 (computed)."""
    found = evaluate("frost-fit", {"nights": FAO_NIGHTS, "method": "evening_only"})
    assert found["evening_coef"] == pytest.approx(0.502812, abs=1e-6)
    assert found["intercept"] == pytest.approx(-5.908549, abs=1e-6)
    assert found["rmse_residual"] == pytest.approx(0.7128, abs=5e-5)


def test_the_two_steps_combined() -> None:
    """Tp = 0.502812 T0 + 0.026472 Td - 5.821987 (computed)."""
    found = evaluate("frost-fit", {"nights": FAO_NIGHTS})
    assert found["evening_coef"] == pytest.approx(0.502812, abs=1e-6)
    assert found["dew_coef"] == pytest.approx(0.026472, abs=1e-6)
    assert found["intercept"] == pytest.approx(-5.821987, abs=1e-6)


STATION_FILES = {
    "Greensboro": "frost_greensboro",
    "Port Angeles": "frost_port_angeles",
    "LaGuardia 2013": "frost_lga_2013",
    "Pittsburgh": "frost_pittsburgh",
}


def station_nights(name: str, *, clear: bool) -> list[dict[str, float]]:
    return [
        {"evening_c": float(row["T0_C"]), "dew_c": float(row["Td0_C"]), "min_c": float(row["Tmin_C"])}
        for row in rows(name)
        if row["clear"] == "True" or not clear
    ]


@pytest.mark.parametrize("name", STATION_FILES.values())
@pytest.mark.parametrize("which", ["clear_nights", "all_nights"])
def test_public_nights_by_an_independent_fit(name: str, which: str) -> None:
    """NOAA and TMY3 nights; reference: numpy least squares, checked with statsmodels 0.15.0."""
    reference = about(name)["reference"][which]
    data = station_nights(name, clear=which == "clear_nights")
    joint = evaluate("frost-fit", {"nights": data, "method": "joint"})
    assert joint["n"] == reference["n"]
    assert joint["intercept"] == pytest.approx(reference["a"], rel=1e-6)
    assert joint["evening_coef"] == pytest.approx(reference["b_T0"], rel=1e-6)
    assert joint["dew_coef"] == pytest.approx(reference["c_Td"], rel=1e-6)
    assert joint["rmse"] == pytest.approx(reference["rmse_in_sample"], rel=1e-6)
    assert joint["rmse_residual"] == pytest.approx(reference["resid_sd"], rel=1e-6)
    assert joint["loo_rmse"] == pytest.approx(reference["rmse_loocv"], rel=1e-6)
    assert joint["loo_rmse_mean_drop"] == pytest.approx(reference["rmse_naive_loocv"], rel=1e-6)
    drop = evaluate("frost-fit", {"nights": data, "method": "mean_drop"})
    assert -drop["intercept"] == pytest.approx(reference["naive_constant"], rel=1e-6)
    assert drop["rmse"] == pytest.approx(reference["rmse_naive_in_sample"], rel=1e-6)
    evening = evaluate("frost-fit", {"nights": data, "method": "evening_only"})
    assert evening["loo_rmse"] == pytest.approx(reference["rmse_T0_only_loocv"], rel=1e-6)


@pytest.mark.parametrize(("station", "name"), STATION_FILES.items())
def test_the_stored_drops_are_those_of_the_public_nights(station: str, name: str) -> None:
    """What a plot without nights of its own is told, computed again from the nights by numpy."""
    drops = np.array([night["evening_c"] - night["min_c"] for night in station_nights(name, clear=True)])
    stored = STATIONS[station]
    assert stored.n == len(drops)
    assert stored.mean_c == pytest.approx(drops.mean(), rel=1e-12)
    assert stored.sd_c == pytest.approx(drops.std(ddof=1), rel=1e-12)


def test_a_plot_without_nights_is_told_the_public_drop_honestly() -> None:
    """Each station foretold from the other three: the 80 % interval holds 70 to 95 % of its clear nights."""
    _, sd_c, df = usual_drop()
    reach = float(stats.t.ppf(0.9, df)) * sd_c
    held = []
    for station in STATIONS:
        others = [other.mean_c for name, other in STATIONS.items() if name != station]
        middle = sum(others) / len(others)
        drops = [
            night["evening_c"] - night["min_c"]
            for night in station_nights(STATION_FILES[station], clear=True)
        ]
        held.append(float(np.mean([abs(drop - middle) <= reach for drop in drops])))
    assert 0.70 <= float(np.mean(held)) <= 0.95


temperature = st.floats(-20, 20).map(lambda value: round(value, 1))
some_nights = st.lists(
    st.tuples(
        temperature, st.floats(0, 15).map(lambda v: round(v, 1)), st.floats(0, 12).map(lambda v: round(v, 1))
    ),
    min_size=9,
    max_size=25,
).filter(lambda rows: np.linalg.cond(np.array([[1, x, x - gap] for x, gap, _ in rows])) < 1e3)


@settings(max_examples=60, deadline=None)
@given(rows=some_nights, evening=temperature, gap=st.floats(0, 15))
def test_joint_fit_and_interval_against_statsmodels(
    rows: list[tuple[float, float, float]], evening: float, gap: float
) -> None:
    """statsmodels OLS: coefficients and the interval for one new night."""
    data = nights([x for x, _, _ in rows], [x - g for x, g, _ in rows], [x - drop for x, _, drop in rows])
    fit = evaluate("frost-fit", {"nights": data, "method": "joint"})
    design = add_constant(np.array([[n["evening_c"], n["dew_c"]] for n in data]), has_constant="add")
    reference = OLS(np.array([n["min_c"] for n in data]), design).fit()
    assert [fit["intercept"], fit["evening_coef"], fit["dew_coef"]] == pytest.approx(
        list(reference.params), rel=1e-6, abs=1e-7
    )
    told = evaluate(
        "frost-tonight",
        {"fit": fit, "evening_c": evening, "dew_c": evening - gap, "critical_c": [0], "level": 0.9},
    )
    new = reference.get_prediction(np.array([[1.0, evening, evening - gap]]))
    low, high = new.conf_int(obs=True, alpha=0.1)[0]
    assert [told["low_c"], told["high_c"]] == pytest.approx([low, high], rel=1e-5, abs=1e-6)
    spread = math.sqrt(new.var_pred_mean[0] + reference.mse_resid)
    if spread > 1e-6:
        chance = stats.t.cdf((0 - new.predicted_mean[0]) / spread, reference.df_resid)
        assert told["chances"][0]["p"] == pytest.approx(chance, abs=1e-6)


@settings(max_examples=40, deadline=None)
@given(rows=some_nights)
def test_leaving_one_out_without_refitting_is_leaving_one_out(rows: list[tuple[float, float, float]]) -> None:
    """Each night left out and the two steps done again by numpy.polyfit."""
    x, d, y = (
        np.array(column) for column in zip(*((x, x - g, x - drop) for x, g, drop in rows), strict=True)
    )
    errors = []
    for i in range(len(x)):
        keep = np.arange(len(x)) != i
        assume(np.ptp(x[keep]) >= 1 and np.ptp(d[keep]) >= 1)
        slope, start = np.polyfit(x[keep], y[keep], 1)
        dew_slope, dew_start = np.polyfit(d[keep], y[keep] - start - slope * x[keep], 1)
        errors.append(y[i] - start - slope * x[i] - dew_start - dew_slope * d[i])
    fit = evaluate("frost-fit", {"nights": nights(list(x), list(d), list(y))})
    assert fit["loo_rmse"] == pytest.approx(math.sqrt(np.mean(np.square(errors))), rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("hour", "air_c"), [(3, -0.8250406), (4, -1.5602865), (5, -2.1244606), (10, -4.0705731), (15, -5.45)]
)
def test_night_curve_of_the_frost_trend_worksheet(hour: float, air_c: float) -> None:
    """R package frost, after the UC Davis worksheet: T2 = 0.95, Tmin = -5.45, 15 h."""
    found = evaluate("night-curve", {"evening_c": 0.95, "min_c": -5.45, "night_hours": 15, "hours": [hour]})
    assert found["points"][0]["air_c"] == pytest.approx(air_c, abs=1e-7)
    assert found["coef"] == pytest.approx(-1.7750406, abs=1e-7)
    assert found["crosses_at_hour"] == pytest.approx(2.2864, abs=5e-5)


def test_night_curve_in_fahrenheit() -> None:
    """R package frost: 33.7 and 22.2 °F, 15 h: 30.51047 at hour 3."""
    found = evaluate("night-curve", {"evening_c": 33.7, "min_c": 22.2, "night_hours": 15, "hours": [3]})
    assert found["points"][0]["air_c"] == pytest.approx(30.51047, abs=1e-5)


def test_cover_offset_by_scipy() -> None:
    """Eight paired minima; mean, spread and t interval computed, and by scipy here."""
    outside = [2.1, -1.4, 0.3, 3.0, -2.2, 1.1, -0.5, 4.2]
    inside = [3.0, -1.6, 1.5, 4.4, -1.9, 2.6, 0.6, 5.1]
    found = evaluate("cover-offset", {"outside_c": outside, "inside_c": inside})
    assert found["mean_c"] == pytest.approx(0.8875)
    assert found["sd_c"] == pytest.approx(0.5743, abs=5e-5)
    assert (found["low_c"], found["high_c"]) == pytest.approx((0.407, 1.368), abs=5e-4)
    assert found["lowest_c"] == pytest.approx(-0.2)
    assert (found["n_cold"], found["mean_cold_c"]) == (3, pytest.approx(0.4))
    interval = stats.ttest_rel(inside, outside).confidence_interval()
    assert (found["low_c"], found["high_c"]) == pytest.approx(tuple(interval), rel=1e-9)


LAST = [98, 110, 121, 104, 131, 115, 126, 108, 119, 112]


def test_last_frost_by_hand() -> None:
    """Mean 114.4, sd 10.1017, normal 127.35, type 7 quantile 126.5 (computed)."""
    found = evaluate("last-frost", {"days": LAST, "share": 0.9})
    assert found["mean"] == pytest.approx(114.4)
    assert found["sd"] == pytest.approx(10.1017, abs=5e-5)
    assert found["normal_day"] == pytest.approx(127.35, abs=5e-3)
    assert found["empirical_day"] == pytest.approx(126.5)


@settings(max_examples=80, deadline=None)
@given(
    days=st.lists(st.integers(1, 366), min_size=2, max_size=30),
    share=st.floats(0.05, 0.95),
    by_day=st.integers(1, 366),
    level=st.floats(0.5, 0.99),
)
def test_last_frost_against_numpy_and_statsmodels(
    days: list[int], share: float, by_day: int, level: float
) -> None:
    from statsmodels.stats.proportion import proportion_confint

    found = evaluate("last-frost", {"days": days, "share": share, "by_day": by_day, "level": level})
    assert found["empirical_day"] == pytest.approx(float(np.quantile(days, share)))
    late = sum(day > by_day for day in days)
    low, high = proportion_confint(late, len(days), alpha=1 - level, method="wilson")
    assert (found["p_after_low"], found["p_after_high"]) == pytest.approx((low, high), abs=1e-9)


@pytest.mark.parametrize(
    ("p", "years", "risk"), [(0.1, 5, 0.40951), (0.2, 3, 0.488), (0.05, 10, 0.40126), (0.1, 10, 0.65132)]
)
def test_risk_over_years(p: float, years: float, risk: float) -> None:
    """1 - (1 - p)^n, formula from memory (Haan 1979), figures computed by hand calculator."""
    assert evaluate("risk", {"p": p, "years": years})["risk"] == pytest.approx(risk, abs=5e-6)


COLDEST = [-3.1, -1.2, -4.5, -2.0, -0.4, -2.8, -5.1, -1.7, -3.6, -2.2]


def test_gumbel_levels() -> None:
    """scale 1.1401, location 2.0019; T = 2, 5, 10, 20: -2.420 -3.712 -4.568 -5.388 (computed)."""
    found = evaluate("lowest-return", {"minima_c": COLDEST, "years": [2, 5, 10, 20]})
    assert found["scale"] == pytest.approx(1.1401, abs=5e-5)
    assert found["location"] == pytest.approx(2.0019, abs=5e-5)
    assert found["levels_c"] == pytest.approx([-2.420, -3.712, -4.568, -5.388], abs=5e-4)


@settings(max_examples=50, deadline=None)
@given(
    minima=st.lists(st.floats(-40, 10), min_size=2, max_size=30),
    years=st.lists(st.floats(1.01, 1000), min_size=1, max_size=5),
)
def test_gumbel_levels_against_scipy(minima: list[float], years: list[float]) -> None:
    found = evaluate("lowest-return", {"minima_c": minima, "years": years})
    if found["scale"] > 1e-9:
        gumbel = stats.gumbel_r(loc=found["location"], scale=found["scale"])
        assert gumbel.mean() == pytest.approx(-np.mean(minima), abs=1e-8)
        assert gumbel.std() == pytest.approx(np.std(minima, ddof=1), rel=1e-8)
        assert found["levels_c"] == pytest.approx([-gumbel.isf(1 / n) for n in years], rel=1e-8, abs=1e-8)
