"""How cold does it get once in so many years?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.contract import Calculation, Param

_EULER: Final = 0.5772156649015329


@dataclass(frozen=True)
class LowestReturn:
    """Return levels of yearly minima.

    Attributes
    ----------
    location, scale
        Of the Gumbel distribution of minus the temperature [°C].
    levels_c
        Temperature not reached from above but once in each number of years [°C].
    """

    location: float | None
    scale: float | None
    levels_c: tuple[float | None, ...]
    n: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def lowest_return(minima_c: Sequence[float], years: Sequence[float]) -> LowestReturn:
    """Fit yearly minima and read off how cold it gets once in so many years.

    Parameters
    ----------
    minima_c
        Lowest temperature of each year, or of the same season in each year [°C, -100 to 100].
    years
        Return periods [years, above 1].

    Returns
    -------
    LowestReturn

    Notes
    -----
    Gumbel by moments on -T: ``scale = sd sqrt(6)/pi``, ``location = mean(-T) - 0.57722 scale``; level of a
    return period of n years ``-(location - scale ln(-ln(1 - 1/n)))``. The sd has divisor n - 1.

    References
    ----------
    Gumbel, E. J. (1958), Statistics of extremes, Columbia University Press.

    Examples
    --------
    >>> found = lowest_return([-3.1, -1.2, -4.5, -2.0, -0.4, -2.8, -5.1, -1.7, -3.6, -2.2], [10])
    >>> round(found.levels_c[0], 3)
    -4.568
    """
    n = len(minima_c)
    if n < 2:
        why = (f"Years: {n}; at least two are needed.",)
        return LowestReturn(None, None, (None,) * len(years), n, why, ())
    mean = math.fsum(-value for value in minima_c) / n
    sd = math.sqrt(math.fsum((-value - mean) ** 2 for value in minima_c) / (n - 1))
    scale = sd * math.sqrt(6) / math.pi
    location = mean - _EULER * scale
    levels = tuple(-(location - scale * math.log(-math.log1p(-1 / period))) + 0.0 for period in years)
    cautions = []
    if n < 20:
        cautions.append(f"Only {n} years: the figures are rough.")
    if any(period > 2 * n for period in years):
        cautions.append(f"Beyond {2 * n} years, twice the record, the figure is a guess.")
    return LowestReturn(location, scale, levels, n, (), tuple(cautions))


CALCULATION = Calculation(
    name="lowest-return",
    question="How cold does it get once in so many years?",
    source="Gumbel 1958, Statistics of extremes (method of moments)",
    method="Gumbel distribution of minus the temperature, by moments",
    params=(
        Param(
            "minima_c",
            "numbers",
            unit="°C",
            low=-100,
            high=100,
            max_len=100_000,
            doc="Lowest temperature of each year.",
        ),
        Param(
            "years",
            "numbers",
            unit="years",
            low=1,
            low_open=True,
            high=1e6,
            max_len=10_000,
            doc="Return periods, above 1.",
        ),
    ),
    run=lowest_return,
    example={
        "minima_c": [-3.1, -1.2, -4.5, -2.0, -0.4, -2.8, -5.1, -1.7, -3.6, -2.2],
        "years": [2, 5, 10, 20],
    },
    returns={
        "location, scale": "of the Gumbel distribution of minus the temperature [°C]",
        "levels_c": "how cold it gets once in each number of years [°C]",
    },
    rules=("At least two years. Beyond twice the record a caution.",),
)
