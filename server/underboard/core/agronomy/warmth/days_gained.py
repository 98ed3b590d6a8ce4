"""How many days did the early start gain?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.errors import InputFault


@dataclass(frozen=True)
class DaysGained:
    """A difference of two sets of days.

    Attributes
    ----------
    difference_days
        Mean of treated minus mean of control [d]; negative means that treated was earlier.
    gained_days
        The same the other way round [d]; positive means that treated was earlier.
    low, high
        Interval of `difference_days` [d].
    p
        Two-sided p-value of no difference.
    """

    difference_days: float | None
    gained_days: float | None
    low: float | None
    high: float | None
    p: float | None
    n_treated: int
    n_control: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    method: str


def days_gained(
    treated: Sequence[float], control: Sequence[float], level: float = 0.95, pairs: bool = False
) -> DaysGained:
    """Compare the days that treated and untreated plants took.

    Parameters
    ----------
    treated, control
        Days, one figure a plant, pot or row [d].
    level
        Level of the interval.
    pairs
        Each treated figure belongs to the control figure in the same position.

    Returns
    -------
    DaysGained

    Raises
    ------
    InputFault
        When pairs are asked for and the lists differ in length.

    Notes
    -----
    Welch's t test (unequal variances), or the paired t test. With fewer than two figures a side there is
    a difference but no interval; without any spread at all there is no p-value.

    References
    ----------
    Welch, B. L. (1947), The generalization of "Student's" problem, Biometrika 34, 28-35.

    Examples
    --------
    >>> days_gained([60, 62, 61], [70, 69, 74]).difference_days
    -10.0
    """
    if pairs and len(treated) != len(control):
        raise InputFault(
            "/control", f"Pairs need lists of one length; there are {len(treated)} and {len(control)}."
        )
    method = "paired t" if pairs else "Welch's t"
    n_treated, n_control = len(treated), len(control)
    if not treated or not control:
        why = ("Both sides need at least one figure.",)
        return DaysGained(None, None, None, None, None, n_treated, n_control, why, (), method)
    if pairs:
        rest = [a - b for a, b in zip(treated, control, strict=True)]
        difference, variance = _mean_variance(rest)
        square, df = variance / len(rest), float(len(rest) - 1)
    else:
        difference, square, df = _welch(treated, control)
    low = high = p = None
    why_not: tuple[str, ...] = ()
    if min(n_treated, n_control) < 2:
        why_not = ("An interval needs at least two figures a side.",)
    else:
        low, high, p = _interval(difference, square, df, level)
        if p is None:
            why_not = ("The figures do not vary at all, so there is no p-value.",)
    cautions: tuple[str, ...] = ()
    if min(n_treated, n_control) < 5:
        cautions = ("Fewer than five figures a side: one odd plant can make or break the result.",)
    return DaysGained(
        difference, -difference + 0.0, low, high, p, n_treated, n_control, why_not, cautions, method
    )


def _mean_variance(values: Sequence[float]) -> tuple[float, float]:
    mean = math.fsum(values) / len(values)
    if len(values) < 2:
        return mean, 0.0
    return mean, math.fsum((value - mean) ** 2 for value in values) / (len(values) - 1)


def _welch(treated: Sequence[float], control: Sequence[float]) -> tuple[float, float, float]:
    mean_t, variance_t = _mean_variance(treated)
    mean_c, variance_c = _mean_variance(control)
    part_t, part_c = variance_t / len(treated), variance_c / len(control)
    square = part_t + part_c
    df = 1.0
    if square > 0 and min(len(treated), len(control)) > 1:
        # Shares first: the squares of very small variances would vanish.
        share_t, share_c = part_t / square, part_c / square
        df = 1 / (share_t**2 / (len(treated) - 1) + share_c**2 / (len(control) - 1))
    return mean_t - mean_c, square, df


def _interval(difference: float, square: float, df: float, level: float) -> tuple[float, float, float | None]:
    from scipy.special import stdtr, stdtrit

    error = math.sqrt(square)
    if error == 0:
        return difference, difference, None
    reach = -float(stdtrit(df, (1 - level) / 2)) * error
    return difference - reach, difference + reach, 2 * float(stdtr(df, -abs(difference) / error))


CALCULATION = Calculation(
    name="days-gained",
    question="How many days did the early start gain?",
    source="Welch 1947, Biometrika 34:28; Student 1908 for pairs",
    method="Welch's t, or paired t",
    params=(
        Param("treated", "numbers", unit="days", low=0, high=100_000, doc="Days of the treated plants."),
        Param("control", "numbers", unit="days", low=0, high=100_000, doc="Days of the untreated plants."),
        LEVEL,
        Param(
            "pairs",
            "boolean",
            required=False,
            default=False,
            doc="Each treated figure belongs to the control figure in the same position.",
        ),
    ),
    run=days_gained,
    example={"treated": [60, 62, 61, 63, 60], "control": [70, 69, 74, 71, 68]},
    returns={
        "difference_days": "mean of treated minus mean of control [d]: negative is earlier",
        "gained_days": "the same the other way round [d]: positive is earlier",
        "low": "lower end for difference_days",
        "high": "upper end for difference_days",
        "p": "two-sided p-value",
    },
    rules=(
        "Negative differences are shown as they are: a loss of days is a result.",
        "Fewer than two figures a side: a difference without an interval.",
    ),
    needs_scipy=True,
)
