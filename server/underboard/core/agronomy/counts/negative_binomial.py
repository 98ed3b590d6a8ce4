"""Maximum likelihood and profile intervals of the negative binomial law."""

from __future__ import annotations

import math
from collections.abc import Callable

from underboard.core.agronomy.counts.tally import Tally

# Clumping beyond these is out of any field's reach (k from 1e-9 to 1e12); the search stops there.
LOG_A_LOW, LOG_A_HIGH = math.log(1e-12), math.log(1e9)
# A mean whose profile has not fallen far enough at this value has no upper limit worth printing.
LARGEST_MEAN = 1e9
# Steps of the coarse scan for the likeliest clumping, in log a.
SCAN_STEP = 1.0


def root(function: Callable[[float], float], low: float, high: float, xtol: float = 1e-13) -> float:
    """Find where a continuous function changes sign between two points of unlike sign, to within `xtol`.

    Notes
    -----
    A fall that is smaller than the rounding of a log likelihood (a level next to 0) may leave both ends on one
    side; then the end nearer to 0 is the root as well as it can be told.
    """
    from scipy.optimize import brentq

    at_low, at_high = function(low), function(high)
    if (at_low > 0) == (at_high > 0):
        return low if abs(at_low) <= abs(at_high) else high
    return float(brentq(function, low, high, xtol=xtol, rtol=8.9e-16, maxiter=200))


def likeliest_clumping(counts: Tally, m: float) -> float:
    """The clumping a = 1/k that makes the counts likeliest at mean m; 0 is the Poisson law.

    Notes
    -----
    At the mean of the counts there is exactly one top, and it is at 0 unless the variance (divisor n)
    exceeds the mean. At other means the slope may change sign more than once; a scan in steps of log a
    finds the highest stretch, then the slope's root in it is taken.
    """
    here = _start(counts, m)
    if m == counts.mean:
        if counts.slope(m, 0.0) <= 0:
            return 0.0
        return _climb(counts, m, here)
    # The likelihood is flat at its top: log a wrong by 1e-7 changes it by 1e-14 of its bend there.
    best = _climb(counts, m, here, xtol=1e-7)
    if best > 0 and counts.log_likelihood(m, best) >= counts.log_likelihood(m, 0.0):
        return best
    return 0.0


def _start(counts: Tally, m: float) -> float:
    """A rough log a from the second moment about m."""
    excess = (counts.pairs - 2 * counts.total * m + counts.n * m * m) / (counts.n * m * m)
    return math.log(min(max(excess, 1e-3), 1e4))


def _climb(counts: Tally, m: float, here: float, xtol: float = 1e-13) -> float:
    """Walk in log a to where the slope turns from up to down, and solve there; 0 when it only falls."""

    def slope(t: float) -> float:
        return counts.slope(m, math.exp(t))

    low = high = min(max(here, LOG_A_LOW), LOG_A_HIGH)
    if slope(here) > 0:
        while slope(high) > 0:
            low, high = high, high + SCAN_STEP
            if high > LOG_A_HIGH:
                return math.exp(LOG_A_HIGH)
    else:
        while slope(low) <= 0:
            low, high = low - SCAN_STEP, low
            if low < LOG_A_LOW:
                return 0.0
    return math.exp(root(slope, low, high, xtol))


def profile(counts: Tally, m: float) -> float:
    """Log likelihood at mean m with the clumping set anew."""
    return counts.log_likelihood(m, likeliest_clumping(counts, m))


def mean_limits(counts: Tally, a: float, drop: float) -> tuple[float, float | None]:
    """Limits of the mean where twice the fall of the profile reaches `drop`.

    Parameters
    ----------
    counts
        At least one of them above 0.
    a
        Their likeliest clumping at their mean.
    drop
        Quantile of chi-squared with one degree of freedom, corrected or not.

    Returns
    -------
    tuple
        Lower and upper limit; the upper is None when the profile has not fallen by a mean of 1e9.
    """
    floor = counts.log_likelihood(counts.mean, a) - drop / 2
    top = math.log(counts.mean)

    def above(t: float) -> float:
        return profile(counts, math.exp(t)) - floor

    step = max(2 * math.sqrt((1 / counts.mean + a) / counts.n), 1e-6)
    low, high = top - step, top + step
    while above(low) > 0:
        low -= step
    ceiling = max(math.log(LARGEST_MEAN), top + 1)
    while above(high) > 0:
        if high > ceiling:
            return math.exp(root(above, low, top)), None
        high += step
        step *= 1.5
    return math.exp(root(above, low, top)), math.exp(root(above, top, high))


def clumping_limits(counts: Tally, a: float, drop: float) -> tuple[float, float]:
    """Limits of the clumping a = 1/k at the mean of the counts (which is likeliest for every a).

    Returns
    -------
    tuple
        Lower limit, 0 when the counts do not rule the Poisson law out, and upper limit.
    """
    mean = counts.mean
    floor = counts.log_likelihood(mean, a) - drop / 2

    def above(t: float) -> float:
        return counts.log_likelihood(mean, math.exp(t)) - floor

    top = math.log(a) if a > 0 else LOG_A_LOW
    high = max(top, -10.0) + 1
    while above(high) > 0:
        high += 2
    upper = math.exp(root(above, top, high))
    if counts.log_likelihood(mean, 0.0) >= floor:
        return 0.0, upper
    low = top - 1
    while above(low) > 0:
        low -= 2
    return math.exp(root(above, low, top)), upper
