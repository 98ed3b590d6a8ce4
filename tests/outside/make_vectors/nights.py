"""Vectors of the calculations on frost."""

from typing import Any

import numpy as np
import scipy
import statsmodels
import statsmodels.api as sm
from scipy.stats import t as student
from writing import Vectors

SCIPY = f"scipy {scipy.__version__}"

#: Training nights in the example of the FAO book, as printed in the R package frost (evening, dew, minimum).
EVENING = [3.2, 0.8, 0.2, 2.6, 4.4, 5.2, 2.7, 1.2, 4.5, 5.6]
DEW = [-4.2, -8.8, -6.5, -6.2, -6.1, 2.6, -0.7, -1.7, -1.2, 0.1]
MINIMUM = [-3.1, -5.0, -6.3, -5.4, -4.0, -2.5, -4.8, -5.0, -4.4, -3.3]


def _fit(method: str) -> dict[str, Any]:
    """What a fit keeps, by statsmodels and numpy."""
    x, d, y = np.array(EVENING), np.array(DEW), np.array(MINIMUM)
    if method == "two_step":
        first = sm.OLS(y, sm.add_constant(x)).fit()
        second = sm.OLS(first.resid, sm.add_constant(d)).fit()
        coef = [first.params[0] + second.params[0], first.params[1], second.params[1]]
        n_coef, columns = 3, [x, d]
    elif method == "joint":
        coef, n_coef, columns = (
            list(sm.OLS(y, sm.add_constant(np.column_stack([x, d]))).fit().params),
            3,
            [x, d],
        )
    elif method == "evening_only":
        line = sm.OLS(y, sm.add_constant(x)).fit()
        coef, n_coef, columns = [*line.params, 0.0], 2, [x]
    else:
        coef, n_coef, columns = [float(np.mean(y - x)), 1.0, 0.0], 1, []
    residual = y - (coef[0] + coef[1] * x + coef[2] * d)
    ss = float((residual**2).sum())
    return {
        "coef": [float(c) for c in coef],
        "free": len(y) - n_coef,
        "rmse": (ss / len(y)) ** 0.5,
        "rmse_residual": (ss / (len(y) - n_coef)) ** 0.5,
        "design": np.column_stack([np.ones(len(y)), *columns]),
    }


def _kept(method: str) -> dict[str, Any]:
    x, d = np.array(EVENING), np.array(DEW)
    fit = _fit(method)
    return {
        "intercept": fit["coef"][0],
        "evening_coef": fit["coef"][1],
        "dew_coef": fit["coef"][2],
        "n": len(EVENING),
        "rmse_residual": fit["rmse_residual"],
        "method": method,
        "evening_low_c": min(EVENING),
        "evening_high_c": max(EVENING),
        "dew_low_c": min(DEW),
        "dew_high_c": max(DEW),
        "evening_mean_c": float(x.mean()),
        "dew_mean_c": float(d.mean()),
        "evening_ss_c2": float(((x - x.mean()) ** 2).sum()),
        "dew_ss_c2": float(((d - d.mean()) ** 2).sum()),
        "both_ss_c2": float(((x - x.mean()) * (d - d.mean())).sum()),
    }


def _tonight(
    method: str,
    evening: float,
    dew: float,
    critical: list[float],
    offset: float,
    offset_sd: float,
    level: float,
) -> dict[str, Any]:
    fit = _fit(method)
    row = np.array([1.0, evening, dew])[: fit["design"].shape[1]]
    leverage = float(row @ np.linalg.inv(fit["design"].T @ fit["design"]) @ row)
    minimum = fit["coef"][0] + fit["coef"][1] * evening + fit["coef"][2] * dew + offset
    sd = (fit["rmse_residual"] ** 2 * (1 + leverage) + offset_sd**2) ** 0.5
    low, high = student.interval(level, fit["free"], loc=minimum, scale=sd)
    return {
        "min_c": minimum,
        "low_c": float(low),
        "high_c": float(high),
        "chances": [
            {"critical_c": c, "p": float(student.cdf(c, fit["free"], loc=minimum, scale=sd))}
            for c in critical
        ],
        "sd_c": sd,
        "df": fit["free"],
        "fitted_to_plot": True,
    }


def frost_tonight() -> Vectors:
    v = Vectors(
        "frost-tonight",
        source="Snyder & de Melo-Abreu 2005, Frost protection, vol. 1, ch. 5, FAO; predictive t distribution",
        computed_with=f"statsmodels {statsmodels.__version__} (OLS), {SCIPY} (stats.t); R package frost",
        notes={
            "published": "-0.7409219 °C: printed with the R package frost for the nights of the FAO book.",
            "outside": "The evening lies outside the nights it was fitted on: a caution, not a refusal.",
            "no_spread": "An old fit without sums of squares: the interval says that it is too narrow.",
            "too_few": "Fewer than eight nights: public stations stand in and the answer says so.",
        },
    )
    v.answer(
        "fao_reference",
        "Evening 10 °C, dew point 2 °C.",
        {"evening_c": 10, "dew_c": 2, "fit": _kept("two_step")},
        {**_tonight("two_step", 10, 2, [0.0], 0, 0, 0.95), "inside_fitted_range": False},
        flags=("published", "outside"),
        says={"cautions": ["outside", "clear"]},
    )
    for method in ("two_step", "joint", "evening_only", "mean_drop"):
        given = {"evening_c": 2.0, "dew_c": -3.5, "critical_c": [0, -2, -4.5], "fit": _kept(method)}
        given |= {"offset_c": 1.2, "offset_sd_c": 0.6, "level": 0.9}
        v.answer(
            f"inside_{method}",
            "Under a cover, inside the fitted nights.",
            given,
            {**_tonight(method, 2.0, -3.5, [0, -2, -4.5], 1.2, 0.6, 0.9), "inside_fitted_range": True},
            says={"why_not": []},
        )
    old = {k: v2 for k, v2 in _kept("two_step").items() if not k.endswith("_c2")}
    spread = _fit("two_step")["rmse_residual"] * (1 + 1 / 10) ** 0.5
    v.answer(
        "no_spread",
        "Spread √(s² (1 + 1/n)).",
        {"evening_c": 2, "dew_c": -3.5, "fit": old},
        {"sd_c": spread, "df": 7},
        flags=("no_spread",),
        says={"cautions": ["too narrow"]},
    )
    v.answer(
        "too_few_nights",
        "Seven nights are not enough.",
        {"evening_c": 2, "dew_c": -3.5, "fit": {**_kept("two_step"), "n": 7}},
        {**_stations(2.0), "fitted_to_plot": False, "inside_fitted_range": False},
        flags=("too_few",),
        says={"cautions": ["not fitted to your plot yet"]},
    )
    bare = {"n": 20, "intercept": -5.8, "evening_coef": 0.5, "rmse_residual": 0.7}
    v.answer(
        "no_range",
        "A fit that does not carry the range of its nights.",
        {"evening_c": 10, "dew_c": 2, "fit": bare},
        {"min_c": -0.8, "inside_fitted_range": None},
        flags=("no_spread",),
        says={"why_not": ["range"], "cautions": ["cannot be held"]},
    )
    v.answer(
        "no_error_kept",
        "A fit without its error foretells a temperature but no chance.",
        {"evening_c": 2, "dew_c": -3, "fit": {"n": 9, "intercept": -4, "evening_coef": 0.5}},
        {"min_c": -3, "low_c": None, "high_c": None, "chances": [{"critical_c": 0, "p": None}], "sd_c": None},
        says={"why_not": ["no error"]},
    )
    v.refused(
        "dew_above", "Dew point above the air.", {"evening_c": 2, "dew_c": 3, "fit": {"n": 0}}, "/dew_c"
    )
    v.refused("no_count", "A fit without n.", {"evening_c": 2, "dew_c": 1, "fit": {}}, "/fit/n")
    v.refused(
        "level", "Level in percent.", {"evening_c": 2, "dew_c": 1, "fit": {"n": 0}, "level": 95}, "/level"
    )
    return v


#: Clear nights of four public stations: nights, mean fall from the evening, its spread (frost_*.csv).
STATIONS = [
    (96, 6.795833333333333, 2.669946447981255),
    (49, 3.5979591836734697, 1.4785254191139179),
    (62, 2.6451612903225805, 1.9349823076545203),
    (71, 5.549295774647887, 2.2356126191038057),
]


def _stations(evening: float) -> dict[str, Any]:
    n, mean, sd = (np.array(column) for column in zip(*STATIONS, strict=True))
    between = float(mean.var(ddof=1)) * (1 + 1 / 4)
    within = float(np.average(sd**2, weights=n - 1))
    variance = between + within
    df = variance**2 / (between**2 / 3 + within**2 / float((n - 1).sum()))
    minimum = evening - float(mean.mean())
    low, high = student.interval(0.95, df, loc=minimum, scale=variance**0.5)
    p = float(student.cdf(0, df, loc=minimum, scale=variance**0.5))
    chances = [{"critical_c": 0, "p": p}]
    return {"min_c": minimum, "low_c": float(low), "high_c": float(high), "df": df, "chances": chances}


def night_curve() -> Vectors:
    v = Vectors(
        "night-curve",
        source="Snyder & de Melo-Abreu 2005, Frost protection, FAO; UC Davis frost trend worksheet (FTrend)",
        computed_with="printed examples of the R package frost (air at each hour); numpy for the rest",
        notes={
            "published": "Printed in the package's example.",
            "never": "It does not get so cold: null, and why_not says so.",
            "before": "It is cold before the curve starts.",
        },
    )
    printed = {"abs": 5e-7, "reason": "printed to seven decimals"}
    hours = {3: -0.8250406, 4: -1.5602865, 5: -2.1244606, 10: -4.0705731, 15: -5.45}
    v.answer(
        "ftrend_celsius",
        "T2 0.95 °C, minimum -5.45 °C, 15 hours.",
        {"evening_c": 0.95, "min_c": -5.45, "night_hours": 15, "hours": list(hours)},
        {
            "points": [{"hour": h, "air_c": t} for h, t in hours.items()],
            "coef": float(-6.4 / np.sqrt(13)),
            "crosses_at_hour": float(2 + (0.95 / 6.4) ** 2 * 13),
        },
        flags=("published",),
        says={"why_not": [], "cautions": ["clear"]},
        tolerance=printed,
    )
    v.answer(
        "ftrend_numbers",
        "Printed in °F (33.7, 22.2, 15 h: 30.51047 at hour 3); the curve has no unit of its own.",
        {"evening_c": 33.7, "min_c": 22.2, "night_hours": 15, "hours": [3], "critical_c": 32},
        {"points": [{"hour": 3, "air_c": 30.51047}], "crosses_at_hour": float(2 + (1.7 / 11.5) ** 2 * 13)},
        flags=("published",),
        tolerance={"abs": 5e-6, "reason": "printed to five decimals"},
    )
    base = {"evening_c": 8, "min_c": 3, "night_hours": 9}
    v.answer(
        "outside_the_night",
        "Hours before the curve and after sunrise are empty; it never freezes.",
        {**base, "hours": [1, 2, 9, 9.5]},
        {
            "points": [
                {"hour": 1, "air_c": None},
                {"hour": 2, "air_c": 8},
                {"hour": 9, "air_c": 3},
                {"hour": 9.5, "air_c": None},
            ],
            "crosses_at_hour": None,
        },
        flags=("never",),
        says={"why_not": ["left empty", "does not come down"]},
    )
    v.answer(
        "cold_already",
        "At the critical temperature already.",
        {**base, "critical_c": 8},
        {"crosses_at_hour": None, "points": []},
        flags=("before",),
        says={"why_not": ["before the curve starts"]},
    )
    v.answer(
        "at_sunrise",
        "The minimum is the critical temperature: crossed at sunrise.",
        {**base, "critical_c": 3},
        {"crosses_at_hour": 9},
    )
    v.refused("warmer_morning", "Minimum above the evening.", {**base, "min_c": 9}, "/min_c")
    v.refused("short_night", "A night of two hours.", {**base, "night_hours": 2}, "/night_hours")
    v.refused("hour_text", "Text in place of an hour.", {**base, "hours": [3, "four"]}, "/hours/1")
    return v


FILES = {"frost-tonight": frost_tonight, "night-curve": night_curve}
