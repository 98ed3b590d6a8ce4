"""A night's minimum foretold: from the plot's own nights, or from nights elsewhere while these are few."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from underboard.core.agronomy.frost.frost_fit import ENOUGH_NIGHTS, frost_fit
from underboard.core.agronomy.frost.moments import N_COEFFICIENTS, USES_DEW
from underboard.core.agronomy.frost.public_nights import usual_drop


@dataclass(frozen=True)
class Foretold:
    """A minimum before any cover [°C], with its spread.

    Attributes
    ----------
    sd_c, df
        Spread [°C] and degrees of freedom; None when the fit carries no error.
    inside
        Evening and dew point lie within the nights; None when the fit does not carry their ranges.
    own
        The plot's own nights were used.
    """

    min_c: float
    sd_c: float | None
    df: float
    inside: bool | None
    own: bool
    method: str
    cautions: tuple[str, ...]


def fit_of(nights: Sequence[Mapping[str, Any]], method: str | None) -> Mapping[str, Any]:
    """Fit by `method`; without one by the FAO two steps, or the usual drop where that foretells better."""
    found = vars(frost_fit(nights, method or "two_step"))
    mine, drop = found["loo_rmse"], found["loo_rmse_mean_drop"]
    if method is None and drop is not None and (mine is None or drop < mine):
        return vars(frost_fit(nights, "mean_drop"))
    return found


def foretell(fit: Mapping[str, Any], evening_c: float, dew_c: float) -> Foretold:
    """Foretell from the fit when it stands on enough nights of the plot, else from public nights."""
    if fit.get("intercept") is None or fit["n"] < ENOUGH_NIGHTS:
        return _public(evening_c, fit["n"])
    method, n = fit.get("method") or "two_step", fit["n"]
    free = n - N_COEFFICIENTS[method]
    error = fit.get("rmse_residual")
    if error is None and fit.get("rmse") is not None:
        error = fit["rmse"] * math.sqrt(n / free)
    leverage = leverage_of(fit, method, evening_c, dew_c)
    cautions = ["Holds for clear, calm, dry nights only; cloud or wind keeps it warmer."]
    inside = _within(fit, "evening", evening_c)
    if method in USES_DEW and inside is not False:
        inside_dew = _within(fit, "dew", dew_c)
        inside = inside_dew if inside_dew is False else (inside and inside_dew)
    if inside is None:
        cautions.append(
            "The fit does not carry the range of its nights, so tonight cannot be held against it."
        )
    elif not inside:
        cautions.append("This evening lies outside the nights it was fitted on: take the figure as a guess.")
    if leverage is None:
        leverage = 1 / n
        cautions.append(
            "The fit does not carry the spread of its nights; the interval is a little too narrow."
        )
    return Foretold(
        min_c=fit["intercept"] + fit["evening_coef"] * evening_c + fit["dew_coef"] * dew_c,
        sd_c=None if error is None else error * math.sqrt(1 + leverage),
        df=float(free),
        inside=inside,
        own=True,
        method=method,
        cautions=tuple(cautions),
    )


def leverage_of(fit: Mapping[str, Any], method: str, evening_c: float, dew_c: float) -> float | None:
    """How far tonight lies from the middle of the nights (0: in the middle of very many)."""
    n = fit["n"]
    if method == "mean_drop":
        return float(1 / n)
    names = ("evening_mean_c", "evening_ss_c2", "dew_mean_c", "dew_ss_c2", "both_ss_c2")
    mean_x, sxx, mean_d, sdd, sxd = (fit.get(name) for name in names)
    if mean_x is None or sxx is None or sxx <= 0:
        return None
    u = evening_c - mean_x
    if method == "evening_only":
        return float(1 / n + u * u / sxx)
    if mean_d is None or sdd is None or sxd is None or sxx * sdd - sxd * sxd <= 0:
        return None
    v = dew_c - mean_d
    return float(1 / n + (u * u * sdd - 2 * u * v * sxd + v * v * sxx) / (sxx * sdd - sxd * sxd))


def _within(fit: Mapping[str, Any], what: str, value: float) -> bool | None:
    low, high = fit.get(f"{what}_low_c"), fit.get(f"{what}_high_c")
    return None if low is None or high is None else bool(low <= value <= high)


def _public(evening_c: float, n: int) -> Foretold:
    drop_c, sd_c, df = usual_drop()
    said = (
        f"Not fitted to your plot yet: {n} clear nights of its own, {ENOUGH_NIGHTS} are needed; "
        "until then the usual drop of four public stations stands in, with a wide spread."
    )
    if n >= ENOUGH_NIGHTS:
        said = "Not fitted to your plot: its nights are too much alike, so four public stations stand in."
    return Foretold(
        min_c=evening_c - drop_c,
        sd_c=sd_c,
        df=df,
        inside=False,
        own=False,
        method="mean drop of public station nights",
        cautions=(said, "Holds for clear, calm, dry nights only; cloud or wind keeps it warmer."),
    )
