"""Do any of several groups differ, whatever the law behind the figures?"""

from __future__ import annotations

from collections.abc import Sequence


def kruskal(groups: Sequence[Sequence[float]]) -> float | None:
    """Kruskal-Wallis test of groups of figures, with the correction for ties.

    Returns
    -------
    float or None
        p from chi-squared with one degree of freedom fewer than groups; None when all figures are equal.

    References
    ----------
    Kruskal, W. H. & Wallis, W. A. (1952), J. Am. Stat. Assoc. 47, 583-621.
    """
    import numpy as np
    from scipy.special import chdtrc

    values = np.concatenate([np.asarray(group, float) for group in groups])
    _, where, times = np.unique(values, return_inverse=True, return_counts=True)
    if len(times) < 2 or len(groups) < 2:
        return None
    ranks = (np.cumsum(times) - (times - 1) / 2)[where]
    n = len(values)
    middle = (n + 1) / 2
    scatter, start = 0.0, 0
    for group in groups:
        part = ranks[start : start + len(group)]
        scatter += len(group) * (float(part.mean()) - middle) ** 2
        start += len(group)
    # The variance of all ranks, ties included, is what the tie correction of the textbook comes to.
    h = scatter / (float(((ranks - middle) ** 2).sum()) / (n - 1))
    return float(chdtrc(len(groups) - 1, h))
