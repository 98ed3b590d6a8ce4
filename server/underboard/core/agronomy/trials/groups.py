"""Groups of counts with effort: rates, and the negative binomial law with one clumping for all."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from underboard.core.agronomy.counts.negative_binomial import LOG_A_HIGH, LOG_A_LOW, SCAN_STEP, root
from underboard.core.agronomy.counts.tally import SERIES_BELOW, Tally
from underboard.core.errors import InputFault

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NEWTON_STEPS = 100


@dataclass(frozen=True)
class Group:
    """Counts of one treatment and the effort behind each."""

    name: str
    counts: tuple[int, ...]
    effort: tuple[float, ...]

    @property
    def total(self) -> int:
        """All that was counted."""
        return sum(self.counts)

    @property
    def total_effort(self) -> float:
        """All effort."""
        return math.fsum(self.effort)

    @property
    def rate(self) -> float:
        """Count per effort by the Poisson law."""
        return self.total / self.total_effort

    @cached_property
    def arrays(self) -> tuple[Floats, Floats]:
        """Counts and effort as arrays."""
        import numpy as np

        return np.asarray(self.counts, float), np.asarray(self.effort, float)

    @property
    def even(self) -> bool:
        """Whether all effort is the same, so that the rate is the mean whatever the clumping."""
        return len(set(self.effort)) == 1


def read_groups(
    counts: Mapping[str, Sequence[int]], effort: Mapping[str, Sequence[float]] | None
) -> list[Group]:
    """Put counts and effort together.

    Raises
    ------
    InputFault
        When effort is missing for a group, stands for none, or does not match its counts.
    """
    groups = []
    for name, values in counts.items():
        if not values:
            raise InputFault(f"/groups/{_escaped(name)}", "A group needs at least one count.")
        given = effort.get(name) if effort is not None else [1.0] * len(values)
        if given is None:
            raise InputFault(f"/effort/{_escaped(name)}", "Give the effort of every group, or of none.")
        if len(given) != len(values):
            said = f"Give one effort for each of the {len(values)} counts; there are {len(given)}."
            raise InputFault(f"/effort/{_escaped(name)}", said)
        groups.append(Group(name, tuple(values), tuple(given)))
    for name in effort or {}:
        if name not in counts:
            raise InputFault(f"/effort/{_escaped(name)}", "There is no group of this name.")
    return groups


def _escaped(name: str) -> str:
    return name.replace("~", "~0").replace("/", "~1")


@dataclass(frozen=True)
class CommonFit:
    """One clumping for all groups.

    Attributes
    ----------
    a
        Clumping 1/theta; 0 is the Poisson law.
    log_rates
        Natural logarithm of each group's rate; None for a group without any count.
    variances
        Variance of each log rate: inverse of the expected information, theta taken as known.
    log_likelihood
        At the top.
    """

    a: float
    log_rates: tuple[float | None, ...]
    variances: tuple[float | None, ...]
    log_likelihood: float


def fit_common(groups: Sequence[Group]) -> CommonFit:
    """Fit log rates and one clumping by maximum likelihood.

    Notes
    -----
    For a given clumping each rate solves ``sum (x - mu)/(1 + a mu) = 0`` by itself; the clumping is where the
    slope of the profile likelihood, which is its partial derivative there, changes sign.

    References
    ----------
    Lawless, J. F. (1987), Negative binomial and mixed Poisson regression, Can. J. Stat. 15, 209-225.
    """
    seen = Tally(tuple(x for group in groups for x in group.counts))

    def slope(t: float) -> float:
        a = math.exp(t)
        return seen.rising_slope(a) + math.fsum(
            _bend(group, _rate(group, a), a) for group in groups if group.total
        )

    a = 0.0
    if _slope_at_zero(groups) > 0:
        low = high = math.log(0.5)
        if slope(low) > 0:
            while slope(high) > 0 and high < LOG_A_HIGH:
                low, high = high, high + SCAN_STEP
        else:
            while slope(low) <= 0 and low > LOG_A_LOW:
                low, high = low - SCAN_STEP, low
        a = math.exp(root(slope, low, high)) if slope(low) > 0 >= slope(high) else 0.0
    rates = [_rate(group, a) if group.total else None for group in groups]
    variances = [_variance(group, rate, a) for group, rate in zip(groups, rates, strict=True)]
    top = seen.rising(a) - seen.log_factorials
    top += math.fsum(_log_terms(group, rate, a) for group, rate in zip(groups, rates, strict=True) if rate)
    return CommonFit(a, tuple(math.log(r) if r else None for r in rates), tuple(variances), top)


def _slope_at_zero(groups: Sequence[Group]) -> float:
    total = 0.0
    for group in groups:
        x, effort = group.arrays
        total += float((((x - group.rate * effort) ** 2) - x).sum()) / 2
    return total


def _rate(group: Group, a: float) -> float:
    """The likeliest rate of a group at clumping a."""
    rate = group.rate
    if group.even or a == 0:
        return rate
    x, effort = group.arrays
    # Newton in log rate: the score is monotone, and the Poisson rate is a near start.
    for _ in range(NEWTON_STEPS):
        mu = rate * effort
        below = 1 + a * mu
        score = float(((x - mu) / below).sum())
        information = float((mu * (1 + a * x) / below**2).sum())
        step = max(min(score / information, 2.0), -2.0)
        rate *= math.exp(step)
        if abs(step) < 1e-14:
            break
    return rate


def _bend(group: Group, rate: float, a: float) -> float:
    """What a group adds to the slope by a, beside the rising product."""
    import numpy as np

    x, effort = group.arrays
    mu = rate * effort
    u = a * mu
    series = mu * mu * (0.5 - u * (2 / 3 - u * (0.75 - u * 0.8)))
    with np.errstate(over="ignore"):
        direct = (np.log1p(u) - u / (1 + u)) / (a * a)
    return float((np.where(u < SERIES_BELOW, series, direct) - x * mu / (1 + u)).sum())


def _variance(group: Group, rate: float | None, a: float) -> float | None:
    if rate is None:
        return None
    _, effort = group.arrays
    mu = rate * effort
    return 1 / float((mu / (1 + a * mu)).sum())


def _log_terms(group: Group, rate: float, a: float) -> float:
    import numpy as np

    x, effort = group.arrays
    mu = rate * effort
    spread = mu if a == 0 else (x + 1 / a) * np.log1p(a * mu)
    return float((x * np.log(mu) - spread).sum())
