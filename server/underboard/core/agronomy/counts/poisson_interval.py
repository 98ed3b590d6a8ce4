"""How sure is a count, taken as a rate?"""

from __future__ import annotations

from dataclasses import dataclass

from underboard.core.agronomy.contract import LEVEL, Calculation, Param


@dataclass(frozen=True)
class PoissonInterval:
    """A rate and its exact Poisson limits, per unit of effort.

    Attributes
    ----------
    rate
        Count / effort.
    low, high
        Limits of the rate.
    """

    rate: float
    low: float
    high: float


def garwood(count: float, level: float) -> tuple[float, float]:
    """Exact two-sided limits of a Poisson mean of which `count` were seen.

    Parameters
    ----------
    count
        What was counted [0 to 1e9].
    level
        Level of the interval, above 0 and below 1.

    Returns
    -------
    tuple of float
        Lower and upper limit; the lower is 0 when nothing was counted.

    Notes
    -----
    ``chi2(a/2; 2x)/2`` and ``chi2(1-a/2; 2x+2)/2``, written as quantiles of the gamma law so that the upper
    one keeps its digits when the level is close to 1.

    References
    ----------
    Garwood, F. (1936), Fiducial limits for the Poisson distribution, Biometrika 28, 437-442.
    """
    from scipy.special import gammainccinv, gammaincinv

    tail = (1 - level) / 2
    low = float(gammaincinv(count, tail)) if count > 0 else 0.0
    return low, float(gammainccinv(count + 1, tail))


def upper_limit(count: float, level: float) -> float:
    """Exact one-sided upper limit of a Poisson mean: ``-ln(1 - level)`` when nothing was counted."""
    from scipy.special import gammainccinv

    return float(gammainccinv(count + 1, 1 - level))


def poisson_interval(
    count: int, effort: float = 1.0, level: float = 0.95, sided: str = "two"
) -> PoissonInterval:
    """Give the rate behind a count, with exact Poisson limits.

    Parameters
    ----------
    count
        What was counted [0 to 1e9].
    effort
        What it was counted on: traps, nights, square metres [above 0].
    level
        Level of the interval.
    sided
        ``two`` for an interval, ``upper`` for an upper limit alone (the lower one is then 0).

    Returns
    -------
    PoissonInterval

    Notes
    -----
    The limits are exact and therefore a little wider than the level says, most so for small counts. They
    assume that finds fall independently; slugs and wireworms clump, and then the truth is wider
    (see ``count-summary``).

    References
    ----------
    Garwood, F. (1936), Fiducial limits for the Poisson distribution, Biometrika 28, 437-442.

    Examples
    --------
    >>> answer = poisson_interval(count=7, effort=6)
    >>> round(answer.rate, 4), round(answer.low, 4), round(answer.high, 4)
    (1.1667, 0.4691, 2.4038)
    """
    if sided == "upper":
        low, high = 0.0, upper_limit(count, level)
    else:
        low, high = garwood(count, level)
    return PoissonInterval(rate=count / effort, low=low / effort, high=high / effort)


CALCULATION = Calculation(
    name="poisson-interval",
    question="How sure is a count, taken as a rate?",
    source="Garwood 1936, Biometrika 28:437",
    method="exact Poisson limits (Garwood), divided by the effort",
    params=(
        Param("count", "count", doc="What was counted."),
        Param(
            "effort",
            "number",
            required=False,
            default=1.0,
            low=1e-12,
            doc="What it was counted on: traps, nights, square metres.",
        ),
        LEVEL,
        Param(
            "sided",
            "choice",
            required=False,
            default="two",
            choices=("two", "upper"),
            doc="An interval, or an upper limit alone.",
        ),
    ),
    run=poisson_interval,
    example={"count": 7, "effort": 6},
    returns={
        "rate": "count / effort",
        "low": "lower limit of the rate (0 for an upper limit alone)",
        "high": "upper limit of the rate",
    },
    rules=(
        "Nothing counted is not nothing there: the upper limit is 3.69 / effort (one-sided 3.00 / effort).",
        "Clumped finds make the truth wider than this: see count-summary.",
    ),
    needs_scipy=True,
)
