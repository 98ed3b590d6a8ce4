"""Clumped, random or even? Moments and indices of a set of counts, without any fitted law."""

from __future__ import annotations

from dataclasses import dataclass

from underboard.core.agronomy.counts.tally import Tally


@dataclass(frozen=True)
class Spread:
    """Indices of how counts scatter; what is undefined is None.

    Attributes
    ----------
    variance
        With divisor n - 1.
    variance_mean_ratio
        1 for counts that scatter by chance alone.
    k_moment
        ``mean² / (variance - mean)``, when the variance exceeds the mean.
    chi2, df, p
        Fisher's dispersion test of pure chance, upper tail.
    lloyd
        Mean crowding: how many others share a board with the average slug.
    morisita
        1 for chance; the odds that two slugs share a board, against chance.
    """

    variance: float | None
    variance_mean_ratio: float | None
    k_moment: float | None
    chi2: float | None
    df: int
    p: float | None
    lloyd: float | None
    morisita: float | None


def spread(counts: Tally) -> Spread:
    """Describe how counts scatter.

    Notes
    -----
    The sum of squares is taken from whole numbers, so that large counts lose no digits:
    ``sum (x - m)² = sum x (x - 1) + T - T²/n``.

    References
    ----------
    Fisher, R. A. (1925), Statistical Methods for Research Workers (dispersion test, from memory).
    Lloyd, M. (1967), Mean crowding, J. Animal Ecology 36, 1-30. Morisita, M. (1959), Measuring of the
    dispersion of individuals, Mem. Fac. Sci. Kyushu Univ. E 2, 215-235.
    """
    n, total, mean = counts.n, counts.total, counts.mean
    # As one whole-number fraction: n * sum of squares - total squared is exact in Python.
    squares = (n * (counts.pairs + total) - total * total) / n
    variance = squares / (n - 1) if n > 1 else None
    morisita = n * counts.pairs / (total * (total - 1)) if total > 1 else None
    if variance is None or total == 0:
        return Spread(variance, None, None, None, n - 1, None, None, morisita)
    ratio = variance / mean
    # n (n - 1) times the excess of the variance over the mean, exact: a single find must not look clumped.
    excess = n * counts.pairs - total * (total - 1)
    return Spread(
        variance=variance,
        variance_mean_ratio=ratio,
        k_moment=mean * total * (n - 1) / excess if excess > 0 else None,
        chi2=squares / mean,
        df=n - 1,
        p=_upper_chi2(squares / mean, n - 1),
        lloyd=mean + ratio - 1,
        morisita=morisita,
    )


def _upper_chi2(x: float, df: int) -> float:
    from scipy.special import chdtrc

    return float(chdtrc(df, x))
