"""Is it going up or down over the years?"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.surge.trend_words import cautions, why_not
from underboard.core.errors import InputFault

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Trend:
    """A monotone trend.

    Attributes
    ----------
    n
        Values used.
    s, variance_s, z, p
        Mann-Kendall: pairs that rise minus pairs that fall, its variance with ties, the normal deviate with
        continuity correction, two-sided p.
    tau_a, tau_b
        Kendall's correlation without and with the correction for ties.
    slope, slope_low, slope_high
        Theil-Sen slope and its limits, per unit of time (per period when seasonal and no times are given).
    intercept
        median(value) - slope * median(time).
    lag1
        Correlation of each value with the one before (less its season's median, when seasonal).
    """

    n: int
    s: int
    variance_s: float
    z: float | None
    p: float | None
    tau_a: float | None
    tau_b: float | None
    slope: float | None
    slope_low: float | None
    slope_high: float | None
    intercept: float | None
    lag1: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class _Season:
    """What one season (or the whole series) adds."""

    s: int
    variance: float
    pairs: int
    untied_pairs: int
    slopes: Floats


def trend(
    values: Sequence[float | None],
    times: Sequence[float] | None = None,
    period: int | None = None,
    level: float = 0.95,
) -> Trend:
    """Test for a trend and estimate its slope.

    Parameters
    ----------
    values
        The series in order of time; None where missing.
    times
        Time of each value, rising; 0, 1, 2 … when left out (in periods when seasonal: month 6 of 12 is 0.5).
    period
        Values in a year (12 for months): compares each season with itself only.
    level
        Level of the slope's limits.

    Returns
    -------
    Trend

    Raises
    ------
    InputFault
        When times do not match the values or do not rise.

    Notes
    -----
    ``z = (s - sign s)/sqrt(variance)``. The slope is the median over all pairs (within seasons); its limits are
    the slopes of rank ``(N - C)/2`` and ``(N + C)/2 + 1`` with ``C = z sqrt(variance)``, ranks rounded to the
    nearest (as scipy does). Seasonal: s, variance and pairs are added up over the seasons.

    References
    ----------
    Mann, H. B. (1945), Econometrica 13, 245-259. Kendall, M. G. (1975), Rank Correlation Methods. Sen, P. K.
    (1968), J. Am. Stat. Assoc. 63, 1379-1389. Gilbert, R. O. (1987), Statistical Methods for Environmental
    Pollution Monitoring. Hirsch, R. M., Slack, J. R. & Smith, R. A. (1982), Water Resour. Res. 18, 107-121.

    Examples
    --------
    >>> answer = trend([12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7])
    >>> answer.s, round(answer.z, 4), round(answer.slope, 4)
    (54, 2.9058, 0.5667)
    """
    import numpy as np

    when = _times(values, times, period)
    kept = [
        (i, time, value)
        for i, (time, value) in enumerate(zip(when, values, strict=True))
        if value is not None
    ]
    place = np.array([i for i, _, _ in kept], int)
    time = np.array([t for _, t, _ in kept], float)
    value = np.array([v for _, _, v in kept], float)
    groups = [place % period == season for season in range(period)] if period else [np.full(len(kept), True)]
    seasons = [_season(time[group], value[group]) for group in groups if group.sum() > 1]
    s = sum(season.s for season in seasons)
    variance = math.fsum(season.variance for season in seasons)
    pairs = sum(season.pairs for season in seasons)
    untied = sum(season.untied_pairs for season in seasons)
    slopes = np.sort(np.concatenate([season.slopes for season in seasons])) if seasons else np.zeros(0)
    z, p = _test(s, variance)
    slope = float(np.median(slopes)) if len(slopes) else None
    low, high = _slope_limits(slopes, variance, level)
    lag1 = _lag1(_without_seasons(value, groups) if period else value)
    return Trend(
        n=len(kept),
        s=s,
        variance_s=variance,
        z=z,
        p=p,
        tau_a=s / pairs if pairs else None,
        tau_b=s / math.sqrt(untied) / math.sqrt(pairs) if untied else None,
        slope=slope,
        slope_low=low,
        slope_high=high,
        intercept=float(np.median(value) - slope * np.median(time)) if slope is not None else None,
        lag1=lag1,
        why_not=why_not(len(kept), len(slopes), variance, low, high, lag1),
        cautions=cautions(len(kept), len(values), lag1),
    )


def _times(
    values: Sequence[float | None], times: Sequence[float] | None, period: int | None
) -> Sequence[float]:
    if times is None:
        return [i / (period or 1) for i in range(len(values))]
    if len(times) != len(values):
        raise InputFault(
            "/times", f"Give one time for each of the {len(values)} values; there are {len(times)}."
        )
    for i in range(1, len(times)):
        if not times[i] > times[i - 1]:
            raise InputFault(f"/times/{i}", "Times must rise from one value to the next.")
    return times


def _season(time: Floats, value: Floats) -> _Season:
    import numpy as np

    n = len(value)
    later, earlier = np.tril_indices(n, -1)
    rise = value[later] - value[earlier]
    with np.errstate(over="ignore"):
        slopes = rise / (time[later] - time[earlier])
    ties = [t for t in Counter(value.tolist()).values() if t > 1]
    pairs = n * (n - 1) // 2
    return _Season(
        s=int(np.sign(rise).sum()),
        variance=(n * (n - 1) * (2 * n + 5) - sum(t * (t - 1) * (2 * t + 5) for t in ties)) / 18,
        pairs=pairs,
        untied_pairs=pairs - sum(t * (t - 1) // 2 for t in ties),
        slopes=slopes,
    )


def _test(s: int, variance: float) -> tuple[float | None, float | None]:
    from scipy.special import ndtr

    if variance <= 0:
        return None, None
    z = (s - (s > 0) + (s < 0)) / math.sqrt(variance)
    return z, 2 * float(ndtr(-abs(z)))


def _slope_limits(slopes: Floats, variance: float, level: float) -> tuple[float | None, float | None]:
    from scipy.special import ndtri

    if len(slopes) == 0 or variance <= 0:
        return None, None
    n = len(slopes)
    reach = -float(ndtri((1 - level) / 2)) * math.sqrt(variance)
    low, high = round((n - reach) / 2), round((n + reach) / 2) + 1
    # Ranks count from 1; a rank outside means that so few values leave that end open.
    return (
        float(slopes[low - 1]) if 1 <= low <= n else None,
        float(slopes[high - 1]) if 1 <= high <= n else None,
    )


def _without_seasons(value: Floats, groups: Sequence[Floats]) -> Floats:
    """Values less the median of their season: the yearly course itself is no autocorrelation."""
    import numpy as np

    rest = value.copy()
    for group in groups:
        if np.any(group):
            rest[group] -= np.median(value[group])
    return rest


def _lag1(value: Floats) -> float | None:
    """Correlation of neighbours; None when it is undefined."""
    import numpy as np

    if len(value) < 4:
        return None
    before, after = value[:-1] - value[:-1].mean(), value[1:] - value[1:].mean()
    size = float(np.sqrt((before**2).sum()) * np.sqrt((after**2).sum()))
    return float((before * after).sum()) / size if size > 0 and math.isfinite(size) else None


CALCULATION = Calculation(
    name="trend",
    question="Is it going up or down over the years?",
    source="Mann 1945, Kendall 1975; Sen 1968, J. Am. Stat. Assoc. 63:1379; Gilbert 1987; Hirsch, Slack & Smith 1982, "
    "Water Resour. Res. 18:107",
    method="Mann-Kendall with ties and continuity correction; Theil-Sen slope, limits by Gilbert's ranks rounded to "
    "the nearest",
    params=(
        Param(
            "values", "numbers_or_null", max_len=3_000, doc="The series in order of time, null where missing."
        ),
        Param(
            "times",
            "numbers",
            required=False,
            default=None,
            max_len=3_000,
            doc="Time of each value, rising; counted in steps when left out.",
        ),
        Param(
            "period",
            "integer",
            required=False,
            default=None,
            low=1,
            high=400,
            doc="Values in a year: each season is then compared with itself only.",
        ),
        LEVEL,
    ),
    run=trend,
    example={"values": [12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7]},
    returns={
        "n": "values used",
        "s, variance_s, z, p": "Mann-Kendall",
        "tau_a, tau_b": "Kendall's correlation, without and with ties corrected",
        "slope, slope_low, slope_high": "per unit of time; per period when seasonal without times",
        "intercept": "median value - slope x median time",
        "lag1": "correlation of neighbouring values",
    },
    rules=(
        "Too few values, or all equal: figures are null and why_not says so.",
        "Neighbours that go together make p too small: a caution says so.",
    ),
    needs_scipy=True,
)
