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
# and the first step where the likeliest clumping at a mean close by is known.
NEAR_STEP, LEAST_STEP = 0.3, 1e-4
# Log a wrong by less than this is no matter for a profile.
FLAT = 1e-6
# A limit is found when the next step in log m is smaller than this: its error is about the square of that. It never
# takes more than so many steps.
CLOSE, MOST_STEPS = 1e-7, 100
# A fall this small cannot be told from rounding, but there the log likelihood is a parabola.
SMALLEST_DROP = 1e-9


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
    exceeds the mean. At other means the slope may change sign more than once; the search walks uphill in
    steps of log a from the second moment about m and takes the slope's root there.
    """
    if m == counts.mean:
        if counts.slope(m, 0.0) <= 0:
            return 0.0
        return _climb(counts, m, _start(counts, m), SCAN_STEP, exact=True)
    return _top(counts, m)[0]


def _top(counts: Tally, m: float, near: float = 0.0, step: float = SCAN_STEP) -> tuple[float, float]:
    """The likeliest clumping at m [not the mean of the counts] and its log likelihood.

    `near` is the answer at a mean close by, from where the walk then starts with `step`; 0 starts from the second
    moment.
    """
    best = _climb(counts, m, math.log(near), step) if near else _climb(counts, m, _start(counts, m))
    poisson = counts.log_likelihood(m, 0.0)
    if best > 0:
        clumped = counts.log_likelihood(m, best)
        if clumped >= poisson:
            return best, clumped
    return 0.0, poisson


def _start(counts: Tally, m: float) -> float:
    """A rough log a from the second moment about m."""
    excess = (counts.pairs - 2 * counts.total * m + counts.n * m * m) / (counts.n * m * m)
    return math.log(min(max(excess, 1e-3), 1e4))


def _climb(counts: Tally, m: float, here: float, step: float = SCAN_STEP, exact: bool = False) -> float:
    """Walk in log a to where the slope turns from up to down, and solve there; 0 when it only falls."""

    def slope(t: float) -> float:
        a = math.exp(t)
        return counts.slope(m, a) * a

    low = high = min(max(here, LOG_A_LOW), LOG_A_HIGH)
    at_low = at_high = slope(low)
    while at_high > 0:
        if high > LOG_A_HIGH:
            return math.exp(LOG_A_HIGH)
        low, at_low, high = high, at_high, high + step
        at_high, step = slope(high), min(3 * step, SCAN_STEP)
    while at_low <= 0:
        if low < LOG_A_LOW:
            return 0.0
        low, high, at_high = low - step, low, at_low
        at_low, step = slope(low), min(3 * step, SCAN_STEP)
    if exact:
        return math.exp(root(slope, low, high))
    return math.exp(_turn(slope, low, at_low, high, at_high))


def _turn(slope: Callable[[float], float], low: float, at_low: float, high: float, at_high: float) -> float:
    """Where the slope turns from above 0 at `low` to 0 or below at `high`, as closely as a profile needs.

    The likelihood is flat there: log a wrong by 1e-6 changes it by 1e-12 of its bend. Regula falsi in its
    Illinois form (Dowell, M. & Jarratt, P. 1971, BIT 11, 168-174) asks nothing twice, unlike a library's call.
    """
    t = last = high
    kept = 0  # which end stood still last time: 1 the high one, -1 the low one
    for _ in range(MOST_STEPS):
        t = high - at_high * (high - low) / (at_high - at_low)
        here = slope(t)
        if here == 0 or abs(t - last) < FLAT:
            return t
        last = t
        if here > 0:
            low, at_low = t, here
            at_high, kept = at_high / 2 if kept == 1 else at_high, 1
        else:
            high, at_high = t, here
            at_low, kept = at_low / 2 if kept == -1 else at_low, -1
    return t


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
    low = _limit(counts, a, drop, -1.0)
    assert low is not None  # the profile falls without end towards a mean of 0
    return low, _limit(counts, a, drop, 1.0)


def _limit(counts: Tally, a: float, drop: float, side: float) -> float | None:
    """The limit below (side -1) or above (side 1) the mean; None when there is none by `LARGEST_MEAN`.

    Notes
    -----
    The signed root of twice the fall is nearly a straight line in log m, so Newton's steps on it reach the limit
    in three or four profiles. Its derivative needs no derivative of a, as the likelihood is flat in a there.
    A step that leaves what is known to lie around the limit is replaced by the middle of that.
    """
    peak, top, target = counts.log_likelihood(counts.mean, a), math.log(counts.mean), math.sqrt(drop)
    reach = target * math.sqrt((1 / counts.mean + a) / counts.n)
    if drop < SMALLEST_DROP:
        return math.exp(top + side * reach)
    ceiling = max(math.log(LARGEST_MEAN), top + 1) - top
    inside, outside, best, step = 0.0, math.inf, a, NEAR_STEP
    reach = min(reach, ceiling)
    for _ in range(MOST_STEPS):
        m = math.exp(top + side * reach)
        best, height = _top(counts, m, best, step)
        fallen = math.sqrt(max(2 * (peak - height), 0.0))
        if fallen < target:
            if side > 0 and reach >= ceiling:
                return None
            inside = reach
        else:
            outside = reach
        slope = -side * counts.mean_slope(m, best) * m
        rise = slope / fallen if fallen > 0 else 0.0
        wanted = reach + (target - fallen) / rise if rise > 0 else math.inf
        if not inside < wanted < outside:
            # Rounding may put the last step on an end.
            wanted = reach if abs(wanted - reach) < CLOSE else (inside + outside) / 2
        wanted = min(wanted, 2 * reach + 1, ceiling if side > 0 else math.inf)
        if abs(wanted - reach) < CLOSE * max(1.0, abs(top)):
            return math.exp(top + side * wanted)
        # The likeliest clumping moves about as far as the mean does.
        reach, step = wanted, min(max(2 * abs(wanted - reach), LEAST_STEP), SCAN_STEP)
    return math.exp(top + side * reach)


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
