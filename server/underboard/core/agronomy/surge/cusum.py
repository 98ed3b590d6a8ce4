"""CUSUM: small rises that last, added up until they are too much."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from underboard.core.agronomy.surge.point import Point
from underboard.core.errors import InputFault


def cusum(
    counts: Sequence[int | None],
    k: float,
    h: float,
    reset: bool = False,
    head_start: float = 0.0,
    mean: float = 0.0,
    sd: float = 1.0,
) -> list[Point]:
    """Watch a series by the sum of what exceeds a reference value.

    Parameters
    ----------
    counts
        The series; None where nothing was surveyed: the sum then stays as it is.
    k
        Reference value: what a count must exceed to add to the sum, in counts (or in standard deviations above
        `mean` when standardised). For a rise from m0 to m1: ``(m1 - m0)/ln(m1/m0)``.
    h
        Alarm when the sum reaches this.
    reset
        Begin anew from 0 after each alarm.
    head_start
        Where the sum begins; h/2 is the fast initial response.
    mean, sd
        Counts enter as (count - mean)/sd; 0 and 1 leave them as they are.

    Returns
    -------
    list of Point
        One for each surveyed count. Score is the sum S, limit is h and belongs to S; alarm when S ≥ h.

    References
    ----------
    Lucas, J. M. (1985), Counted data CUSUM's, Technometrics 27, 129-144. Page, E. S. (1954), Biometrika 41,
    100-115.

    Examples
    --------
    >>> [point.score for point in cusum([2, 1, 3, 2, 4, 5, 6, 3, 7], k=3, h=5)]
    [0.0, 0.0, 0.0, 0.0, 1.0, 3.0, 6.0, 6.0, 10.0]
    """
    total = head_start
    points = []
    for i, count in enumerate(counts):
        if count is None:
            continue
        total = max(0.0, total + (count - mean) / sd - k)
        alarm = total >= h
        points.append(Point(i, count, mean + k * sd, h, total, alarm))
        if alarm and reset:
            total = 0.0
    return points


def scale(mean: float, sd: float | None, poisson: bool) -> tuple[float, float]:
    """Mean and standard deviation for standardising; with `poisson` the deviation is the root of the mean."""
    return mean, math.sqrt(mean) if poisson or sd is None else sd


def standard(
    standardise: bool | Mapping[str, Any], mean: float | None, sd: float | None, variance: str | None
) -> tuple[float, float]:
    """Mean and standard deviation that counts are to be standardised by; 0 and 1 for not at all."""
    at = ""
    if isinstance(standardise, Mapping):
        at = "/standardise"
        mean, sd, variance = (standardise.get(key) for key in ("mean", "sd", "variance"))
    elif not standardise:
        return 0.0, 1.0
    if mean is None:
        raise InputFault(f"{at}/mean", 'Standardising needs a "mean".')
    if sd is None and variance is None:
        raise InputFault(f"{at}/sd", 'Standardising needs "sd", or "variance": "poisson" beside the mean.')
    if sd is not None and variance is not None:
        raise InputFault(f"{at}/sd", 'Give "sd" or "variance": "poisson", not both.')
    if mean == 0 and sd is None:
        raise InputFault(f"{at}/mean", "A Poisson variance needs a mean above 0.")
    return scale(mean, sd, variance == "poisson")
