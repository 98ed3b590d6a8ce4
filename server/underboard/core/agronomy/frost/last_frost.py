"""After which date is frost unlikely?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.frost.quantile import quantile


@dataclass(frozen=True)
class LastFrost:
    """The last frost of the season.

    Attributes
    ----------
    n, n_without
        Years, and those among them without a frost.
    mean, sd
        Of the last day in the years with frost [day of year, d].
    normal_day, empirical_day
        Day by which the last frost is past in `share` of all years: by the normal curve, by the sample.
    p_after, p_after_low, p_after_high
        Share of all years with a frost after `by_day`, with Wilson's interval.
    """

    n: int
    n_without: int
    mean: float | None
    sd: float | None
    normal_day: float | None
    empirical_day: float | None
    p_after: float | None
    p_after_low: float | None
    p_after_high: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def last_frost(
    days: Sequence[float | None], share: float = 0.9, by_day: float | None = None, level: float = 0.95
) -> LastFrost:
    """Summarise the last frosts of past years.

    Parameters
    ----------
    days
        Day of the year of each year's last frost [1 to 366]; None for a year without frost.
    share
        Share of years in which the last frost shall be past [0 to 1].
    by_day
        A day whose risk is wanted [1 to 366].
    level
        Level of the interval of `p_after`.

    Returns
    -------
    LastFrost

    Notes
    -----
    Years without frost are a part of their own: with a share w of them the wanted day is the
    ``(share - w)/(1 - w)`` quantile of the years with frost. Normal day = mean + z sd; empirical day = type 7
    quantile.

    References
    ----------
    National Oceanic and Atmospheric Administration, freeze/frost probabilities (mixed distribution). Wilson,
    E. B. (1927), J. Am. Stat. Assoc. 22, 209-212.

    Examples
    --------
    >>> last_frost([98, 110, 121, 104, 131, 115, 126, 108, 119, 112]).empirical_day
    126.5
    """
    known = [day for day in days if day is not None]
    n, n_without = len(days), len(days) - len(known)
    why_not: list[str] = []
    mean = math.fsum(known) / len(known) if known else None
    sd = None
    if len(known) >= 2 and mean is not None:
        sd = math.sqrt(math.fsum((day - mean) ** 2 for day in known) / (len(known) - 1))
    else:
        why_not.append(f"Years with frost: {len(known)}; a mean needs one, a spread two.")
    rest = _share_among_frosts(share, n, n_without)
    normal_day = empirical_day = None
    if rest is None:
        why_not.append(
            "There are no years yet." if not n else "So many years had no frost that no day is needed."
        )
    else:
        empirical_day = quantile(known, rest)
        if sd is not None and mean is not None and 0 < rest < 1:
            normal_day = mean + NormalDist().inv_cdf(rest) * sd
    p_after = low = high = None
    if by_day is None:
        why_not.append("No by_day was given, so there is no risk after it.")
    elif n:
        late = sum(day > by_day for day in known)
        p_after = late / n
        low, high = _wilson(late, n, level)
    cautions = () if n >= 20 else (f"Only {n} years: 20 to 30 are customary for such a date.",)
    return LastFrost(
        n, n_without, mean, sd, normal_day, empirical_day, p_after, low, high, tuple(why_not), cautions
    )


def _share_among_frosts(share: float, n: int, n_without: int) -> float | None:
    if n == n_without:
        return None
    without = n_without / n
    rest = (share - without) / (1 - without)
    return rest if rest > 0 else None


def _wilson(hits: int, n: int, level: float) -> tuple[float, float]:
    z2 = NormalDist().inv_cdf((1 - level) / 2) ** 2
    middle = (hits + z2 / 2) / (n + z2)
    reach = math.sqrt(z2 * (hits * (n - hits) / n + z2 / 4)) / (n + z2)
    return max(0.0, middle - reach), min(1.0, middle + reach)


CALCULATION = Calculation(
    name="last-frost",
    question="After which date is frost unlikely?",
    source="NOAA freeze/frost probabilities (mixed distribution); Hyndman & Fan 1996; Wilson 1927",
    method="normal curve and type 7 quantile of the years with frost, frost-free years as their own part",
    params=(
        Param(
            "days",
            "numbers_or_null",
            low=1,
            high=366,
            max_len=10_000,
            doc="Day of the year of each year's last frost, null for a year without.",
        ),
        Param(
            "share",
            "number",
            required=False,
            default=0.9,
            low=0,
            high=1,
            low_open=True,
            high_open=True,
            doc="Share of years in which the last frost shall be past.",
        ),
        Param(
            "by_day",
            "number",
            required=False,
            default=None,
            low=1,
            high=366,
            doc="Day of the year whose risk is wanted.",
        ),
        LEVEL,
    ),
    run=last_frost,
    example={"days": [98, 110, 121, 104, 131, 115, 126, 108, 119, 112], "share": 0.9, "by_day": 120},
    returns={
        "n, n_without": "years, and those without frost",
        "mean, sd": "of the last day in the years with frost",
        "normal_day, empirical_day": "day by which the last frost is past in that share of all years",
        "p_after, p_after_low, p_after_high": "share of all years with frost after by_day, with interval",
    },
    rules=(
        "Years without frost stay in the count of years and never get a date.",
        "When more years than the wanted share had no frost, no day is needed: null.",
    ),
)
