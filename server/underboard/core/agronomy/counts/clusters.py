"""The mean of counts that come in groups (one bed, one evening), without believing each board alone."""

from __future__ import annotations

import math
from collections.abc import Sequence


def cluster_limits(
    counts: Sequence[int], clusters: Sequence[str], level: float
) -> tuple[float, float, int] | None:
    """Limits of the mean when boards of one group go up and down together.

    Parameters
    ----------
    counts
        One count a board.
    clusters
        The group of each board, same length.
    level
        Level of the interval.

    Returns
    -------
    tuple or None
        Lower limit, upper limit, number of groups; None with fewer than two groups or nothing counted.

    Notes
    -----
    The sandwich variance of a Poisson mean with the correction G / (G - 1), on the log scale, with the t
    quantile of G - 1 degrees of freedom. With fewer than about ten groups it is still short.

    References
    ----------
    Liang, K.-Y. & Zeger, S. L. (1986), Longitudinal data analysis using generalized linear models,
    Biometrika 73, 13-22.
    """
    total = sum(counts)
    mean = total / len(counts)
    sums: dict[str, float] = {}
    for count, cluster in zip(counts, clusters, strict=True):
        sums[cluster] = sums.get(cluster, 0.0) + count - mean
    groups = len(sums)
    if groups < 2 or total == 0:
        return None
    from scipy.special import stdtrit

    squares = math.fsum(rest * rest for rest in sums.values())
    error = math.sqrt(squares * groups / (groups - 1)) / total
    reach = math.exp(-float(stdtrit(groups - 1, (1 - level) / 2)) * error)
    return mean / reach, mean * reach, groups
