"""How likely is it to happen at least once in so many years?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underboard.core.agronomy.contract import Calculation, Param


@dataclass(frozen=True)
class Risk:
    """The chance of at least one such year [0 to 1]."""

    risk: float


def risk(p: float, years: float) -> Risk:
    """Turn a yearly chance into the risk over several years.

    Parameters
    ----------
    p
        Chance in one year [0 to 1].
    years
        Years, taken as independent [0 to 1,000,000].

    Returns
    -------
    Risk

    Notes
    -----
    ``1 - (1 - p)^n``, computed as ``-expm1(n log1p(-p))`` so that small chances keep their digits.

    References
    ----------
    Haan, C. T. (1979), Risk analysis in environmental modifications (formula from memory); FAO, Frost
    protection, vol. 2 (probability against risk).

    Examples
    --------
    >>> round(risk(0.1, 5).risk, 5)
    0.40951
    """
    if years == 0 or p == 0:
        return Risk(0.0)
    return Risk(1.0 if p == 1 else -math.expm1(years * math.log1p(-p)))


CALCULATION = Calculation(
    name="risk",
    question="How likely is it to happen at least once in so many years?",
    source="Haan 1979 (from memory); FAO, Frost protection, vol. 2",
    method="1 - (1 - p)^n",
    params=(
        Param("p", "number", low=0, high=1, doc="Chance in one year."),
        Param("years", "number", unit="years", low=0, high=1_000_000, doc="Years."),
    ),
    run=risk,
    example={"p": 0.1, "years": 5},
    returns={"risk": "chance of at least one such year"},
    rules=("Years are taken as independent of each other.",),
)
