"""EARS C1, C2 and C3: the count against the mean and spread of the last few."""

from __future__ import annotations

import math
from collections.abc import Sequence

from underboard.core.agronomy.surge.point import Point

# How many of the newest counts each method leaves out of its baseline.
GUARD = {"ears_c1": 0, "ears_c2": 2, "ears_c3": 2}
C3_LIMIT = 2.0


def ears(
    method: str, counts: Sequence[int | None], baseline: int, alpha: float, min_sd: float
) -> list[Point]:
    """Watch a series by one of the three methods.

    Parameters
    ----------
    method
        ``ears_c1`` (baseline right before), ``ears_c2`` (two left out), ``ears_c3`` (C2 summed over three).
    counts
        The series; None where nothing was surveyed: such places are passed over, so that the baseline is always
        of so many surveyed counts.
    baseline
        Counts in the baseline [from 3].
    alpha
        Chance of a false alarm aimed at, for C1 and C2: the limit is ``mean + z sd``.
    min_sd
        Floor of the standard deviation [from 0].

    Returns
    -------
    list of Point
        From the first place with a full baseline on. The score of C1 and C2 is (count - mean)/sd, None when sd
        is 0; then the limit is the mean. C3 sums ``max(0, C2 - 1)`` over this and the two counts before and
        alarms above 2; its limit is for that sum.

    Notes
    -----
    C3 follows the published definition. The bound that R surveillance 1.20.3 computes for C3 adds the newest
    count to a bound that it is then compared with, so that the newest count cancels.

    References
    ----------
    Hutwagner, L., Thompson, W., Seeman, G. M. & Treadwell, T. (2003), The bioterrorism preparedness and response
    Early Aberration Reporting System (EARS), J. Urban Health 80 (Suppl. 1), i89-i96. Fricker, R. D.,
    Hegler, B. L. & Dunfee, D. A. (2008), Stat. Med. 27, 3407-3429.
    """
    surveyed = [(i, count) for i, count in enumerate(counts) if count is not None]
    values = [count for _, count in surveyed]
    guard = GUARD[method]
    first = baseline + guard
    found = [
        (place, *_mean_sd(values[place - first : place - guard], min_sd))
        for place in range(first, len(values))
    ]
    if method == "ears_c3":
        return _summed(surveyed, found)
    from scipy.special import ndtri

    z = -float(ndtri(alpha))
    points = []
    for place, mean, sd in found:
        i, count = surveyed[place]
        limit = mean + z * sd
        score = (count - mean) / sd if sd > 0 else None
        points.append(Point(i, count, mean, limit, score, count > limit))
    return points


def _summed(surveyed: Sequence[tuple[int, int]], found: Sequence[tuple[int, float, float]]) -> list[Point]:
    """C3: what the three newest C2 scores have above 1, added up."""
    above = [_above_one(surveyed[place][1], mean, sd) for place, mean, sd in found]
    points = []
    for at in range(2, len(found)):
        place, mean, _ = found[at]
        i, count = surveyed[place]
        score = sum(above[at - 2 : at + 1])
        alarm = score > C3_LIMIT
        points.append(Point(i, count, mean, C3_LIMIT, score if math.isfinite(score) else None, alarm))
    return points


def _above_one(count: int, mean: float, sd: float) -> float:
    if sd > 0:
        return max(0.0, (count - mean) / sd - 1)
    return math.inf if count > mean else 0.0


def _mean_sd(window: Sequence[int], min_sd: float) -> tuple[float, float]:
    n, total = len(window), sum(window)
    squares = n * sum(count * count for count in window) - total * total
    return total / n, max(math.sqrt(squares / (n * (n - 1))), min_sd)
