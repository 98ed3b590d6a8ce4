"""Many small weighted quasi-Poisson regressions at once: log mean = level + slope * time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

STEPS = 25
# R's glm stops here, and its last step's weights enter leverage and dispersion. Doing the same is what makes
# published limits agree to the last digit; going on would move them in the fifth.
CLOSE_ENOUGH = 1e-8
# Beyond these a log mean is 0 or infinite for any count of animals.
LOWEST, HIGHEST = -40.0, 40.0


@dataclass(frozen=True)
class Fit:
    """Results row by row.

    Attributes
    ----------
    fitted
        Fitted mean of each value (rows by values).
    leverage
        Diagonal of the hat matrix (rows by values).
    phi
        Pearson dispersion, at least 1.
    mean, variance
        Mean at time 0 and the variance of its estimate, phi included; NaN in a row without values.
    p_trend
        Two-sided p of the slope (1 without a slope).
    """

    fitted: Floats
    leverage: Floats
    phi: Floats
    mean: Floats
    variance: Floats
    p_trend: Floats


def fit_rows(counts: Floats, times: Floats, weights: Floats, trend: bool) -> Fit:
    """Fit each row of counts by iteratively reweighted least squares.

    Parameters
    ----------
    counts
        Rows of counts; what stands where the weight is 0 does not matter.
    times
        The time of each column, 0 being the time of the forecast.
    weights
        Prior weights, 0 for a value that is missing.
    trend
        Whether there is a slope.

    Returns
    -------
    Fit

    References
    ----------
    McCullagh, P. & Nelder, J. A. (1989), Generalized Linear Models.
    """
    import numpy as np

    # Times of order 1 keep the normal equations well conditioned; the slope's p does not depend on it.
    unit = times / max(float(np.abs(times).max()), 1.0)
    mu = counts + 0.1
    used = weights * mu
    deviance = _deviance(counts, mu, weights)
    going = np.ones(len(counts), bool)
    level = np.zeros(len(counts))
    slope = np.zeros(len(counts))
    for _ in range(STEPS):
        used = np.where(going[:, None], weights * mu, used)
        working = np.log(mu) + (counts - mu) / mu
        new_level, new_slope, _ = _solve(unit, used, working, trend)
        level, slope = np.where(going, new_level, level), np.where(going, new_slope, slope)
        mu = np.exp(np.clip(level[:, None] + slope[:, None] * unit, LOWEST, HIGHEST))
        before, deviance = deviance, _deviance(counts, mu, weights)
        going &= np.abs(deviance - before) / (np.abs(deviance) + 0.1) >= CLOSE_ENOUGH
        if not going.any():
            break
    inverse = _solve(unit, used, counts, trend)[2]
    leverage = used * (inverse[0][:, None] + 2 * inverse[1][:, None] * unit + inverse[2][:, None] * unit**2)
    values = (weights > 0).sum(axis=1)
    free = values - (2 if trend else 1)
    pearson = (used * ((counts - mu) / mu) ** 2).sum(axis=1)
    dispersion = np.where(free > 0, pearson / np.maximum(free, 1), np.nan)
    phi = np.fmax(dispersion, 1.0)
    mean = np.where(values > 0, np.exp(np.clip(level, LOWEST, HIGHEST)), np.nan)
    # A level that has run to the lower end stands for a mean of 0: all values were 0.
    mean = np.where((weights * counts).sum(axis=1) == 0, np.where(values > 0, 0.0, np.nan), mean)
    variance = np.where(mean > 0, mean**2 * inverse[0] * phi, 0.0)
    return Fit(mu, leverage, phi, mean, variance, _p_of_slope(slope, inverse[2], dispersion, free, trend))


def _deviance(counts: Floats, mu: Floats, weights: Floats) -> Floats:
    from scipy.special import xlogy

    total: Floats = 2 * (weights * (xlogy(counts, counts / mu) - counts + mu)).sum(axis=1)
    return total


def _solve(
    unit: Floats, weights: Floats, target: Floats, trend: bool
) -> tuple[Floats, Floats, tuple[Floats, Floats, Floats]]:
    """Weighted straight lines through rows; also the inverse of the normal matrix."""
    import numpy as np

    s0 = weights.sum(axis=1)
    t0 = (weights * target).sum(axis=1)
    nothing = np.zeros_like(s0)
    if not trend:
        safe = np.where(s0 > 0, s0, 1.0)
        return t0 / safe, nothing, (np.where(s0 > 0, 1 / safe, 0.0), nothing, nothing)
    s1 = (weights * unit).sum(axis=1)
    s2 = (weights * unit**2).sum(axis=1)
    t1 = (weights * unit * target).sum(axis=1)
    determinant = s0 * s2 - s1 * s1
    sound = determinant > 1e-12 * np.maximum(s0 * s2, 1e-300)
    safe = np.where(sound, determinant, 1.0)
    level = np.where(sound, (s2 * t0 - s1 * t1) / safe, t0 / np.where(s0 > 0, s0, 1.0))
    slope = np.where(sound, (s0 * t1 - s1 * t0) / safe, 0.0)
    inverse = (
        np.where(sound, s2 / safe, 0.0),
        np.where(sound, -s1 / safe, 0.0),
        np.where(sound, s0 / safe, 0.0),
    )
    return level, slope, inverse


def _p_of_slope(slope: Floats, inverse: Floats, dispersion: Floats, free: Floats, trend: bool) -> Floats:
    import numpy as np
    from scipy.special import stdtr

    if not trend:
        return np.ones_like(slope)
    square = inverse * dispersion
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.abs(slope) / np.sqrt(square)
    sound = (free > 0) & (square > 0)
    p: Floats = np.where(sound, 2 * stdtr(np.maximum(free, 1), -np.where(sound, t, 0.0)), 1.0)
    return p
