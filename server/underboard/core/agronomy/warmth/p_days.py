"""How much potato-growing warmth have the days brought?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault


@dataclass(frozen=True)
class PDays:
    """Physiological days.

    Attributes
    ----------
    daily
        P-days of each day [0 to 10]; None for a day with a missing reading.
    total
        Their sum; None when a day is missing.
    n_missing
        Days without a value.
    """

    daily: tuple[float | None, ...]
    total: float | None
    n_missing: int
    why_not: tuple[str, ...] = ()


def growth_rate(air_c: float) -> float:
    """Relative growth of potato at one temperature, 0 to 10: none at 7 °C and 30 °C, most at 21 °C."""
    if not 7 < air_c < 30:
        return 0.0
    span = 14 if air_c < 21 else 9
    return 10 * (1 - (air_c - 21) ** 2 / span**2)


def p_days(min_c: Sequence[float | None], max_c: Sequence[float | None]) -> PDays:
    """Sum the physiological days of potato.

    Parameters
    ----------
    min_c, max_c
        Lowest and highest air temperature of each day [°C, -100 to 100]; None where missing.

    Returns
    -------
    PDays

    Raises
    ------
    InputFault
        When the lists differ in length or a minimum is above its maximum.

    Notes
    -----
    ``(5 P(T1) + 8 P(T2) + 8 P(T3) + 3 P(T4)) / 24`` with T1 the minimum, T4 the maximum, T2 and T3 a third
    and two thirds of the way between. P is `growth_rate`. A missing day is never zero.

    References
    ----------
    Sands, P. J., Hackett, C. & Nix, H. A. (1979), A model of the development and bulking of potatoes,
    Field Crops Research 2, 309-331 (from memory).

    Examples
    --------
    >>> round(p_days([10], [20]).total, 4)
    7.3885
    """
    if len(min_c) != len(max_c):
        raise InputFault(
            "/max_c", f'"max_c" must be as long as "min_c": {len(max_c)} against {len(min_c)} days.'
        )
    daily: list[float | None] = []
    for i, (low, high) in enumerate(zip(min_c, max_c, strict=True)):
        if low is None or high is None:
            daily.append(None)
            continue
        if low > high:
            raise InputFault(
                f"/min_c/{i}", f"The minimum {low:g} °C is above the maximum {high:g} °C; swap them."
            )
        inner = growth_rate((2 * low + high) / 3) + growth_rate((low + 2 * high) / 3)
        daily.append((5 * growth_rate(low) + 8 * inner + 3 * growth_rate(high)) / 24)
    n_missing = sum(value is None for value in daily)
    if n_missing:
        why = (f"Days missing: {n_missing}. A missing day is not a day without growth.",)
        return PDays(tuple(daily), None, n_missing, why)
    return PDays(tuple(daily), math.fsum(value for value in daily if value is not None), 0)


CALCULATION = Calculation(
    name="p-days",
    question="How much potato-growing warmth have the days brought?",
    source="Sands, Hackett & Nix 1979, Field Crops Res. 2:309 (from memory)",
    method="physiological days of potato, 7 to 30 °C with the best at 21 °C",
    params=(
        Param(
            "min_c", "numbers_or_null", unit="°C", low=-100, high=100, doc="Lowest temperature of each day."
        ),
        Param(
            "max_c", "numbers_or_null", unit="°C", low=-100, high=100, doc="Highest temperature of each day."
        ),
    ),
    run=p_days,
    example={"min_c": [10, 5], "max_c": [20, 15]},
    returns={
        "daily": "P-days of each day, 0 to 10, null where a reading is missing",
        "total": "their sum, null when a day is missing",
        "n_missing": "days without a value",
    },
    rules=("A missing day is never zero: the total is withheld.",),
)
