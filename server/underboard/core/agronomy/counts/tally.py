"""The negative binomial log likelihood of a set of counts, cheap to ask many times."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# Up to this count the rising product of the likelihood is summed step by step (exact as clumping vanishes);
# above it gamma functions are used, or a single trap of millions would need an array of millions.
LARGEST_STEPPED = 20_000
# Up to so many steps a loop over floats is quicker than arrays.
FEW = 40
# From this k on, Stirling's series is exact to the last digits.
STIRLING_FROM = 1000.0
# Where 1/k² times a difference of nearly equal logarithms has lost half its digits, its series takes over.
SERIES_BELOW = 1e-4


@dataclass(frozen=True)
class Tally:
    """Counts in the form the likelihood needs.

    The negative binomial law is written with its mean m and its clumping ``a = 1/k`` from 0 (the Poisson
    law) upwards, so that nothing special happens as k grows without bound::

        log L = sum over counts x of  sum_{j<x} log(1 + a j)  +  T log m  -  (T + n/a) log(1 + a m)  -  log x!
    """

    counts: tuple[int, ...]

    @cached_property
    def n(self) -> int:
        """How many counts."""
        return len(self.counts)

    @cached_property
    def total(self) -> int:
        """Their sum."""
        return sum(self.counts)

    @cached_property
    def mean(self) -> float:
        """Their mean, which is the likeliest m for every clumping."""
        return self.total / self.n

    @cached_property
    def pairs(self) -> int:
        """Sum of x (x - 1), as a whole number."""
        return sum(x * (x - 1) for x in self.counts)

    @cached_property
    def log_factorials(self) -> float:
        """Sum of log x!."""
        return math.fsum(math.lgamma(x + 1.0) for x in self.counts)

    @cached_property
    def _steps(self) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
        """j and the number of counts above j, or None when the counts are too large to step through."""
        import numpy as np

        largest = max(self.counts)
        if largest > LARGEST_STEPPED:
            return None
        at_least = np.bincount(np.asarray(self.counts), minlength=largest + 1)[::-1].cumsum()[::-1]
        return np.arange(1.0, largest), at_least[2:].astype(float)

    @cached_property
    def _few_steps(self) -> tuple[tuple[float, float], ...] | None:
        """The same as pairs of plain floats when they are few: a short loop is quicker than an array then."""
        if self._steps is None or len(self._steps[0]) > FEW:
            return None
        return tuple(zip(self._steps[0].tolist(), self._steps[1].tolist(), strict=True))

    @cached_property
    def _grouped(self) -> tuple[NDArray[Any], NDArray[Any]]:
        import numpy as np

        values, times = np.unique(np.asarray(self.counts, float), return_counts=True)
        return values, times.astype(float)

    def rising(self, a: float) -> float:
        """Sum over the counts x of sum_{j<x} log(1 + a j)."""
        if a == 0:
            return 0.0
        if self._few_steps is not None:
            return sum(times * math.log1p(a * j) for j, times in self._few_steps)
        import numpy as np
        from scipy.special import gammaln

        if self._steps is not None:
            j, times = self._steps
            return float(np.dot(times, np.log1p(a * j)))
        values, times = self._grouped
        k = 1 / a
        if k < STIRLING_FROM:
            return float(np.dot(times, gammaln(values + k) - gammaln(k) + values * math.log(a)))
        # Differences of gamma functions of a huge k keep no digits; Stirling's series of the difference does.
        rest = (1 / (values + k) - 1 / k) / 12
        return float(np.dot(times, (k + values - 0.5) * np.log1p(values / k) - values + rest))

    def rising_slope(self, a: float) -> float:
        """Derivative of `rising` by a."""
        if self._few_steps is not None:
            return sum([times * j / (1 + a * j) for j, times in self._few_steps])
        import numpy as np
        from scipy.special import digamma

        if self._steps is not None:
            j, times = self._steps
            return float(np.dot(times, j / (1 + a * j)))
        values, times = self._grouped
        k = 1 / a
        if k < STIRLING_FROM:
            gain = digamma(values + k) - digamma(k)
        else:
            gain = np.log1p(values / k) - (1 / (values + k) - 1 / k) / 2
        return float(np.dot(times, values - k * gain)) * k

    def log_likelihood(self, m: float, a: float) -> float:
        """Log likelihood at mean m [above 0, or 0 when nothing was counted] and clumping a = 1/k [from 0]."""
        if m == 0:
            return 0.0 if self.total == 0 else -math.inf
        spread = self.n * m if a == 0 else (self.total + self.n / a) * math.log1p(a * m)
        return self.rising(a) + self.total * math.log(m) - spread - self.log_factorials

    def mean_slope(self, m: float, a: float) -> float:
        """Derivative of the log likelihood by m [above 0]."""
        return self.total / m - (a * self.total + self.n) / (1 + a * m)

    def slope(self, m: float, a: float) -> float:
        """Derivative of the log likelihood by a, at a from 0."""
        if a == 0:
            return 0.5 * (self.pairs - 2 * self.total * m + self.n * m * m)
        u = a * m
        if u < SERIES_BELOW:
            bend = m * m * (0.5 - u * (2 / 3 - u * (0.75 - u * 0.8)))
        else:
            bend = (math.log1p(u) - u / (1 + u)) / (a * a)
        return self.rising_slope(a) - self.total * m / (1 + u) + self.n * bend


def tally(counts: Sequence[int]) -> Tally:
    """Bring counts into the form the likelihood needs; there must be at least one."""
    return Tally(tuple(int(x) for x in counts))
