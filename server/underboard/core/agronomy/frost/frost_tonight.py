"""How cold will it get tonight, and how likely is harm?"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.frost.foretold import fit_of, foretell
from underboard.core.agronomy.frost.frost_fit import MOST_NIGHTS, NIGHT_FIELDS, NIGHTS_DOC
from underboard.core.agronomy.frost.moments import METHODS
from underboard.core.errors import InputFault


@dataclass(frozen=True)
class Chance:
    """The chance [0 to 1] that the minimum falls below a critical temperature [°C]."""

    critical_c: float
    p: float | None


@dataclass(frozen=True)
class FrostTonight:
    """Tonight's minimum.

    Attributes
    ----------
    min_c
        Lowest temperature to expect at the place [°C].
    low_c, high_c
        Interval for tonight's minimum, not for its mean [°C].
    chances
        Chance of falling below each critical temperature.
    inside_fitted_range
        Whether evening and dew point lie within the nights it was fitted on; None when that is not known.
    fitted_to_plot
        Whether the plot's own nights were used.
    sd_c, df
        Spread and degrees of freedom of the t distribution behind the chances.
    """

    min_c: float
    low_c: float | None
    high_c: float | None
    chances: tuple[Chance, ...]
    inside_fitted_range: bool | None
    fitted_to_plot: bool
    sd_c: float | None
    df: float
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    method: str


def frost_tonight(
    evening_c: float,
    dew_c: float,
    critical_c: Sequence[float] = (0.0,),
    nights: Sequence[Mapping[str, Any]] | None = None,
    fit: Mapping[str, Any] | None = None,
    method: str | None = None,
    offset_c: float = 0.0,
    offset_sd_c: float = 0.0,
    level: float = 0.95,
) -> FrostTonight:
    """Foretell tonight's lowest temperature at a place.

    Parameters
    ----------
    evening_c, dew_c
        Air temperature and dew point two hours after sunset [°C].
    critical_c
        Temperatures below which harm starts [°C].
    nights
        Clear nights of this plot, as `frost-fit` takes them.
    fit
        Or an answer of `frost-fit`, kept from before.
    method
        How to fit `nights`; without it the FAO two steps, or the usual drop where that foretells better.
    offset_c, offset_sd_c
        How much warmer the place (under a cover) is than where the nights were read, and the spread of
        that from night to night [°C].
    level
        Level of the interval.

    Returns
    -------
    FrostTonight

    Raises
    ------
    InputFault
        When the dew point is above the evening temperature, or not exactly one of `nights` and `fit` is
        given.

    Notes
    -----
    ``min = a + b evening + c dew + offset``; its spread is ``sqrt(s^2 (1 + h) + offset_sd^2)`` with s the
    residual error and h the leverage of tonight among the nights; chances and interval come from Student's
    t with n minus the number of coefficients. For the two-step fit h is that of the joint fit (an
    approximation of ours). With fewer than eight nights of its own the plot is treated as one more
    station of four public ones (see `public_nights`), and the answer says so.

    References
    ----------
    Snyder, R. L. & de Melo-Abreu, J. P. (2005), Frost protection, vol. 1, ch. 5, FAO, Rome.

    Examples
    --------
    >>> kept = {"intercept": -5.8, "evening_coef": 0.5, "dew_coef": 0.0, "n": 20, "rmse_residual": 0.7}
    >>> round(frost_tonight(10, 2, fit=kept).min_c, 6)
    -0.8
    """
    if dew_c > evening_c:
        raise InputFault(
            "/dew_c", f"The dew point {dew_c:g} °C is above the air temperature {evening_c:g} °C; check both."
        )
    if (nights is None) == (fit is None):
        raise InputFault("/nights", 'Give either "nights" or "fit".')
    told = foretell(fit if fit is not None else fit_of(nights or (), method), evening_c, dew_c)
    min_c = told.min_c + offset_c
    low_c = high_c = None
    sd_c = None if told.sd_c is None else math.hypot(told.sd_c, offset_sd_c)
    why_not: list[str] = []
    if told.inside is None:
        why_not.append("The fit does not carry the range of its nights.")
    if sd_c is None:
        why_not.append("The fit carries no error (rmse_residual or rmse), so there are no chances.")
    else:
        low_c, high_c = _interval(min_c, sd_c, told.df, level)
    return FrostTonight(
        min_c=min_c,
        low_c=low_c,
        high_c=high_c,
        chances=tuple(Chance(limit, _chance(limit - min_c, sd_c, told.df)) for limit in critical_c),
        inside_fitted_range=told.inside,
        fitted_to_plot=told.own,
        sd_c=sd_c,
        df=told.df,
        why_not=tuple(why_not),
        cautions=told.cautions,
        method=told.method,
    )


def _interval(min_c: float, sd_c: float, df: float, level: float) -> tuple[float, float]:
    from scipy.special import stdtrit

    reach = -float(stdtrit(df, (1 - level) / 2)) * sd_c
    return min_c - reach, min_c + reach


def _chance(gap_c: float, sd_c: float | None, df: float) -> float | None:
    from scipy.special import stdtr

    if sd_c is None:
        return None
    if sd_c == 0:
        return float(gap_c > 0)
    return float(stdtr(df, gap_c / sd_c))


def _kept(key: str, doc: str, **more: Any) -> Param:
    return Param(key, "number", required=False, doc=doc, **more)


_FIT: Final = (
    Param("n", "integer", low=0, high=MOST_NIGHTS, doc="Nights it was fitted on."),
    _kept("intercept", "Intercept.", unit="°C", low=-1e4, high=1e4),
    _kept("evening_coef", "Coefficient of the evening temperature.", low=-1e3, high=1e3, default=0.0),
    _kept("dew_coef", "Coefficient of the dew point.", low=-1e3, high=1e3, default=0.0),
    _kept("rmse", "Error, divisor n.", unit="°C", low=0, high=1e3),
    _kept("rmse_residual", "Error, divisor n minus coefficients.", unit="°C", low=0, high=1e3),
    Param("method", "choice", required=False, default="two_step", choices=METHODS, doc="How it was fitted."),
    *(
        _kept(f"{what}_{end}_c", "Range of the nights.", unit="°C", low=-100, high=100)
        for what in ("evening", "dew")
        for end in ("low", "high", "mean")
    ),
    _kept("evening_ss_c2", "Sum of squares of the evenings.", unit="°C²", low=0),
    _kept("dew_ss_c2", "Sum of squares of the dew points.", unit="°C²", low=0),
    _kept("both_ss_c2", "Sum of products of both.", unit="°C²"),
)

CALCULATION = Calculation(
    name="frost-tonight",
    question="How cold will it get tonight, and how likely is harm?",
    source="Snyder & de Melo-Abreu 2005, Frost protection, vol. 1, ch. 5, FAO; predictive t distribution",
    method="fitted night minimum with a predictive t distribution",
    params=(
        Param(
            "evening_c", "number", unit="°C", low=-60, high=60, doc="Air temperature two hours after sunset."
        ),
        Param("dew_c", "number", unit="°C", low=-100, high=60, doc="Dew point then."),
        Param(
            "critical_c",
            "numbers",
            required=False,
            default=(0.0,),
            unit="°C",
            low=-100,
            high=100,
            max_len=1000,
            doc="Temperatures below which harm starts.",
        ),
        Param(
            "nights",
            "objects",
            required=False,
            default=None,
            max_len=MOST_NIGHTS,
            fields=NIGHT_FIELDS,
            doc=f"{NIGHTS_DOC} Either these or fit.",
        ),
        Param(
            "fit",
            "object",
            required=False,
            default=None,
            fields=_FIT,
            extra_ok=True,
            doc="An answer of frost-fit, kept from before.",
        ),
        Param(
            "method",
            "choice",
            required=False,
            default=None,
            choices=METHODS,
            doc="How to fit nights; without it two_step, or mean_drop where that foretells better.",
        ),
        Param(
            "offset_c",
            "number",
            required=False,
            default=0.0,
            unit="°C",
            low=-50,
            high=50,
            doc="How much warmer the place is.",
        ),
        Param(
            "offset_sd_c",
            "number",
            required=False,
            default=0.0,
            unit="°C",
            low=0,
            high=50,
            doc="Spread of the offset from night to night.",
        ),
        LEVEL,
    ),
    run=frost_tonight,
    example={
        "evening_c": 4.0,
        "dew_c": -2.0,
        "critical_c": [0, -2],
        "fit": {
            "intercept": -5.82,
            "evening_coef": 0.503,
            "dew_coef": 0.026,
            "n": 10,
            "rmse_residual": 0.75,
            "evening_low_c": 0.2,
            "evening_high_c": 5.6,
            "dew_low_c": -8.8,
            "dew_high_c": 2.6,
            "evening_mean_c": 3.04,
            "dew_mean_c": -3.27,
            "evening_ss_c2": 32.0,
            "dew_ss_c2": 117.6,
            "both_ss_c2": 39.4,
            "method": "two_step",
        },
    },
    returns={
        "min_c": "lowest temperature to expect at the place [°C]",
        "low_c, high_c": "interval for tonight's minimum [°C]",
        "chances": "for each critical temperature the chance p of falling below it",
        "inside_fitted_range": "evening and dew point lie within the nights it was fitted on",
        "fitted_to_plot": "the plot's own nights were used",
        "sd_c, df": "spread and degrees of freedom behind the chances",
    },
    rules=(
        "Fewer than eight nights: four public stations stand in, with their spread, and it says so.",
        "Outside the nights it was fitted on the figure stands, with a caution.",
        "An offset moves the figure; its spread widens the interval.",
    ),
    needs_scipy=True,
)
