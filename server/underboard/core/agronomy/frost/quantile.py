"""The sample quantile, in the one convention used here."""

from __future__ import annotations

from collections.abc import Sequence


def quantile(values: Sequence[float], share: float) -> float:
    """The value below which `share` [0 to 1] of the sample lies: type 7, straight between order statistics.

    References
    ----------
    Hyndman, R. J. & Fan, Y. (1996), Sample quantiles in statistical packages, Am. Stat. 50, 361-365.

    Examples
    --------
    >>> quantile([1, 2, 3, 4], 0.5)
    2.5
    """
    ordered = sorted(values)
    place = (len(ordered) - 1) * share
    i = min(int(place), len(ordered) - 2)
    if i < 0:
        return ordered[0]
    return ordered[i] + (place - i) * (ordered[i + 1] - ordered[i])
