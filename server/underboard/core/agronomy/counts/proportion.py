"""Which share of tubers, traps or plants is hit, and how sure is it?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underboard.core.agronomy.answer import optional
from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.errors import InputFault


@dataclass(frozen=True)
class Proportion:
    """A share with two intervals [all 0 to 1].

    Attributes
    ----------
    proportion
        Found / examined.
    wilson_low, wilson_high
        Wilson's score interval, about right on average.
    exact_low, exact_high
        Clopper and Pearson's interval, never too short.
    upper_one_sided
        When none was found: the share that would still leave a nil result with chance 1 - level.
    """

    proportion: float
    wilson_low: float
    wilson_high: float
    exact_low: float
    exact_high: float
    upper_one_sided: float | None = optional()


def proportion(found: int, examined: int, level: float = 0.95) -> Proportion:
    """Give a share with its intervals.

    Parameters
    ----------
    found
        How many were hit [0 to `examined`].
    examined
        How many were looked at [from 1].
    level
        Level of the intervals.

    Returns
    -------
    Proportion

    Raises
    ------
    InputFault
        When more were hit than looked at.

    Notes
    -----
    Wilson: the p for which ``|found/n - p| = z sqrt(p (1 - p)/n)``. Clopper-Pearson: beta quantiles.
    None found of n: ``1 - (1 - level)^(1/n)``, near ``3/n`` at 95 % (the rule of three).

    References
    ----------
    Wilson, E. B. (1927), J. Am. Stat. Assoc. 22, 209-212. Clopper, C. J. & Pearson, E. S. (1934),
    Biometrika 26, 404-413. Eypasch, E. et al. (1995), BMJ 311, 619-620 (rule of three).

    Examples
    --------
    >>> answer = proportion(found=3, examined=20)
    >>> round(answer.wilson_low, 4), round(answer.wilson_high, 4)
    (0.0524, 0.3604)
    """
    if found > examined:
        raise InputFault("/found", f"{found} cannot be found among {examined} examined.")
    share = found / examined
    low, high = _wilson(share, examined, level)
    exact_low, exact_high = _clopper_pearson(found, examined, level)
    upper = -math.expm1(math.log1p(-level) / examined) if found == 0 else None
    return Proportion(share, low, high, exact_low, exact_high, upper)


def _wilson(share: float, n: int, level: float) -> tuple[float, float]:
    from scipy.special import ndtri

    z = -float(ndtri((1 - level) / 2))
    middle = share + z * z / (2 * n)
    reach = z * math.sqrt(share * (1 - share) / n + z * z / (4 * n * n))
    below = 1 + z * z / n
    # The ends are exact at 0 and 1, where subtraction would leave dust.
    low = 0.0 if share == 0 else (middle - reach) / below
    high = 1.0 if share == 1 else (middle + reach) / below
    return low, high


def _clopper_pearson(found: int, n: int, level: float) -> tuple[float, float]:
    from scipy.special import betainccinv, betaincinv

    tail = (1 - level) / 2
    low = float(betaincinv(found, n - found + 1, tail)) if found else 0.0
    high = float(betainccinv(found + 1, n - found, tail)) if found < n else 1.0
    return low, high


CALCULATION = Calculation(
    name="proportion",
    question="Which share of tubers, traps or plants is hit, and how sure is it?",
    source="Wilson 1927, J. Am. Stat. Assoc. 22:209; Clopper & Pearson 1934, Biometrika 26:404",
    method="Wilson score interval and Clopper-Pearson exact interval",
    params=(
        Param("found", "count", doc="How many were hit."),
        Param("examined", "count", low=1, doc="How many were looked at."),
        LEVEL,
    ),
    run=proportion,
    example={"found": 3, "examined": 20},
    returns={
        "proportion": "found / examined",
        "wilson_low": "lower end, Wilson",
        "wilson_high": "upper end, Wilson",
        "exact_low": "lower end, Clopper-Pearson",
        "exact_high": "upper end, Clopper-Pearson",
        "upper_one_sided": "only when none was found: upper limit at this level, near 3 / examined",
    },
    rules=(
        "None found is not none there: upper_one_sided says how many may still be hit.",
        "Tubers of one plant share their fate; take the plants as the units when you can.",
    ),
    needs_scipy=True,
)
