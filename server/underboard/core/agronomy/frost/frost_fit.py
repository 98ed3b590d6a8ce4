"""How far does it cool on this plot on a clear night, given the evening?"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.agronomy.frost.moments import (
    METHODS,
    N_COEFFICIENTS,
    USES_DEW,
    Line,
    Moments,
    Night,
    leave_one_out,
)
from underboard.core.errors import InputFault

#: Nights of its own before a plot is foretold from them.
ENOUGH_NIGHTS: Final = 8


@dataclass(frozen=True)
class FrostFit:
    """A fitted line and how well it foretells nights it has not seen.

    Attributes
    ----------
    intercept, evening_coef, dew_coef
        ``min = intercept + evening_coef evening + dew_coef dew`` [°C, -, -]; None when the nights cannot
        carry the method.
    n
        Nights.
    rmse, rmse_residual
        Root mean square error with divisor n, and with n minus the coefficients [°C].
    loo_rmse, loo_rmse_mean_drop
        Leave-one-out error of this method, and of the usual drop [°C].
    best_method
        The method with the smallest leave-one-out error.
    evening_low_c … both_ss_c2
        What `frost-tonight` needs to know of the nights: their ranges, means and sums of squares.
    """

    intercept: float | None
    evening_coef: float | None
    dew_coef: float | None
    n: int
    rmse: float | None
    rmse_residual: float | None
    loo_rmse: float | None
    loo_rmse_mean_drop: float | None
    best_method: str | None
    evening_low_c: float | None
    evening_high_c: float | None
    dew_low_c: float | None
    dew_high_c: float | None
    evening_mean_c: float | None
    dew_mean_c: float | None
    evening_ss_c2: float | None
    dew_ss_c2: float | None
    both_ss_c2: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    method: str


def frost_fit(nights: Sequence[Mapping[str, Any]], method: str = "two_step") -> FrostFit:
    """Fit the lowest night temperature to the evening before.

    Parameters
    ----------
    nights
        Clear, calm nights, each with ``evening_c`` (air temperature two hours after sunset), ``dew_c`` (dew
        point then; not needed by `evening_only` and `mean_drop`) and ``min_c`` (lowest air temperature)
        [°C, -60 to 60].
    method
        ``two_step``: minimum on evening, then what is left on dew point (the FAO procedure); ``joint``: both
        at once by least squares; ``evening_only``; ``mean_drop``: the evening minus the usual drop.

    Returns
    -------
    FrostFit

    Raises
    ------
    InputFault
        When a dew point is above its evening temperature, or is missing where the method needs it.

    Notes
    -----
    Two steps are not the same as one: the joint fit differs whenever evening and dew point go together.
    Valid for radiation nights only (wind under 2 m/s, no cloud, fog or rain). A regression need not beat the
    usual drop, so the leave-one-out error of both is given.

    References
    ----------
    Snyder, R. L. & de Melo-Abreu, J. P. (2005), Frost protection: fundamentals, practice and economics,
    vol. 1, ch. 5, FAO, Rome.

    Examples
    --------
    >>> nights = [{"evening_c": t, "dew_c": d, "min_c": t - 4 + d / 10} for t, d in ((3, -2), (5, 1), (8, 2))]
    >>> frost_fit(nights, "joint").evening_coef
    1.0
    """
    rows, known_dew = _rows(nights, method)
    if not rows:
        return _nothing(method, 0, "There are no nights yet.")
    moments = Moments.of(rows)
    line = moments.line(method)
    errors = {
        name: leave_one_out(rows, moments, name) for name in METHODS if known_dew or name not in USES_DEW
    }
    if line is None:
        return _nothing(method, len(rows), _cannot(method, len(rows)), errors)
    residuals = math.fsum((night.min_c - line.at(night.evening_c, night.dew_c)) ** 2 for night in rows)
    free = len(rows) - N_COEFFICIENTS[method]
    why_not = []
    if free == 0:
        why_not.append(
            "As many coefficients as nights: the line goes through each, and its error is unknown."
        )
    if errors.get(method) is None:
        why_not.append("Too few nights, or too much alike, to leave one out.")
    return _answer(rows, moments, line, method, errors, residuals, why_not, known_dew)


def _answer(
    rows: list[Night],
    moments: Moments,
    line: Line,
    method: str,
    errors: Mapping[str, float | None],
    residuals: float,
    why_not: list[str],
    known_dew: bool,
) -> FrostFit:
    free = len(rows) - N_COEFFICIENTS[method]
    evening_ss, dew_ss, both_ss = moments.squares()
    evenings, dews = [night.evening_c for night in rows], [night.dew_c for night in rows]
    return FrostFit(
        intercept=line.intercept,
        evening_coef=line.evening,
        dew_coef=line.dew,
        n=len(rows),
        rmse=math.sqrt(residuals / len(rows)),
        rmse_residual=math.sqrt(residuals / free) if free > 0 else None,
        loo_rmse=errors.get(method),
        loo_rmse_mean_drop=errors.get("mean_drop"),
        best_method=_best(errors),
        evening_low_c=min(evenings),
        evening_high_c=max(evenings),
        dew_low_c=min(dews) if known_dew else None,
        dew_high_c=max(dews) if known_dew else None,
        evening_mean_c=moments.origin.evening_c,
        dew_mean_c=moments.origin.dew_c if known_dew else None,
        evening_ss_c2=evening_ss,
        dew_ss_c2=dew_ss if known_dew else None,
        both_ss_c2=both_ss if known_dew else None,
        why_not=(
            *why_not,
            *(() if known_dew else ("No dew points: their range and spread are left empty.",)),
        ),
        cautions=_cautions(method, len(rows), errors),
        method=method,
    )


def _rows(nights: Sequence[Mapping[str, Any]], method: str) -> tuple[list[Night], bool]:
    known_dew = bool(nights) and all(night.get("dew_c") is not None for night in nights)
    rows: list[Night] = []
    for i, night in enumerate(nights):
        evening_c, dew_c, min_c = night["evening_c"], night.get("dew_c"), night["min_c"]
        if dew_c is None and method in USES_DEW:
            raise InputFault(
                f"/nights/{i}/dew_c", f'"dew_c" is missing: {method} needs the dew point of every night.'
            )
        if dew_c is not None and dew_c > evening_c:
            raise InputFault(
                f"/nights/{i}/dew_c",
                f"The dew point {dew_c:g} °C is above the evening temperature {evening_c:g} °C; check both.",
            )
        rows.append(Night(evening_c, dew_c if known_dew and dew_c is not None else 0.0, min_c))
    return rows, known_dew


def _best(errors: Mapping[str, float | None]) -> str | None:
    known = {name: error for name, error in errors.items() if error is not None}
    return min(known, key=lambda name: known[name]) if known else None


def _cannot(method: str, n: int) -> str:
    need = N_COEFFICIENTS[method]
    if n < need:
        return f"{method} needs at least {need} nights; there are {n}."
    return f"The evenings or dew points are too much alike for {method}."


def _cautions(method: str, n: int, errors: Mapping[str, float | None]) -> tuple[str, ...]:
    said = ["Holds for clear, calm, dry nights only."]
    if n < ENOUGH_NIGHTS:
        said.append(f"Only {n} nights: fewer than {ENOUGH_NIGHTS} say little about this plot.")
    mine, drop = errors.get(method), errors.get("mean_drop")
    if method != "mean_drop" and mine is not None and drop is not None and mine >= drop:
        said.append(
            f"It does not beat the usual drop here ({mine:.2f} against {drop:.2f} °C left out): use that."
        )
    return tuple(said)


def _nothing(method: str, n: int, why: str, errors: Mapping[str, float | None] | None = None) -> FrostFit:
    known = errors or {}
    return FrostFit(
        *(None, None, None, n, None, None, known.get(method), known.get("mean_drop"), _best(known)),
        *(None,) * 9,
        why_not=(why,),
        cautions=_cautions(method, n, known),
        method=method,
    )


NIGHT_FIELDS: Final = (
    Param("evening_c", "number", unit="°C", low=-60, high=60, doc="Air temperature two hours after sunset."),
    Param(
        "dew_c",
        "number",
        required=False,
        unit="°C",
        low=-100,
        high=60,
        doc="Dew point then (two_step and joint need it).",
    ),
    Param("min_c", "number", unit="°C", low=-80, high=60, doc="Lowest air temperature of the night."),
)
NIGHTS_DOC: Final = "Clear, calm, dry nights of this plot."
MOST_NIGHTS: Final = 20_000

CALCULATION = Calculation(
    name="frost-fit",
    question="How far does it cool on this plot on a clear night, given the evening?",
    source="Snyder & de Melo-Abreu 2005, Frost protection, vol. 1, ch. 5, FAO (two_step)",
    method="two_step (FAO): minimum on evening temperature, then the residual on dew point",
    params=(
        Param("nights", "objects", max_len=MOST_NIGHTS, fields=NIGHT_FIELDS, doc=NIGHTS_DOC),
        Param("method", "choice", required=False, default="two_step", choices=METHODS, doc="How to fit."),
    ),
    run=frost_fit,
    example={
        "nights": [
            {"evening_c": 3.2, "dew_c": -4.2, "min_c": -3.1},
            {"evening_c": 0.8, "dew_c": -8.8, "min_c": -5.0},
            {"evening_c": 0.2, "dew_c": -6.5, "min_c": -6.3},
            {"evening_c": 2.6, "dew_c": -6.2, "min_c": -5.4},
            {"evening_c": 4.4, "dew_c": -6.1, "min_c": -4.0},
            {"evening_c": 5.2, "dew_c": 2.6, "min_c": -2.5},
            {"evening_c": 2.7, "dew_c": -0.7, "min_c": -4.8},
            {"evening_c": 1.2, "dew_c": -1.7, "min_c": -5.0},
            {"evening_c": 4.5, "dew_c": -1.2, "min_c": -4.4},
            {"evening_c": 5.6, "dew_c": 0.1, "min_c": -3.3},
        ]
    },
    returns={
        "intercept": "of the line [°C]",
        "evening_coef": "°C of minimum for each °C of evening",
        "dew_coef": "°C of minimum for each °C of dew point",
        "n": "nights",
        "rmse": "root mean square error, divisor n [°C]",
        "rmse_residual": "the same, divisor n minus the number of coefficients [°C]",
        "loo_rmse": "error of each night foretold from the others [°C]",
        "loo_rmse_mean_drop": "the same for the usual drop [°C]",
        "best_method": "the method with the smallest leave-one-out error",
        "evening_low_c, evening_high_c, dew_low_c, dew_high_c": "ranges of the nights [°C]",
        "evening_mean_c, dew_mean_c": "their means [°C]",
        "evening_ss_c2, dew_ss_c2, both_ss_c2": "sums of squares and products about the means [°C²]",
    },
    rules=(
        "Two steps are not one joint fit: they differ whenever evening and dew point go together.",
        "Too few nights, or nights all alike, give null and say why.",
        "A regression need not beat the usual drop; both leave-one-out errors are given.",
        "rmse divides by n, rmse_residual by n minus the coefficients (3, 3, 2, 1).",
    ),
)
