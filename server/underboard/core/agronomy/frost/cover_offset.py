"""How much warmer is it under this cover, and what may be counted on?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.frost.quantile import quantile
from underboard.core.errors import InputFault

#: Cold nights before their own low end is trusted.
ENOUGH_COLD: Final = 5
CAUTIOUS_SHARE: Final = 0.1


@dataclass(frozen=True)
class CoverOffset:
    """Inside minus outside.

    Attributes
    ----------
    n
        Nights with both minima.
    mean_c, sd_c, low_c, high_c, lowest_c
        Mean offset, its spread from night to night, the interval of the mean, the smallest offset [°C].
    n_cold, mean_cold_c
        Nights with the outside below `cold_below_c`, and their mean offset [°C].
    plan_with_c
        The cautious figure for warnings [°C].
    """

    n: int
    mean_c: float | None
    sd_c: float | None
    low_c: float | None
    high_c: float | None
    lowest_c: float | None
    n_cold: int
    mean_cold_c: float | None
    plan_with_c: float
    n_missing: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def cover_offset(
    outside_c: Sequence[float | None],
    inside_c: Sequence[float | None],
    cold_below_c: float = 0.0,
    level: float = 0.95,
) -> CoverOffset:
    """Learn the offset of a tunnel, frame or fleece from paired minima.

    Parameters
    ----------
    outside_c, inside_c
        Lowest temperature of the same nights outside and under the cover [°C]; None where missing.
    cold_below_c
        A night is cold when the outside minimum is below this [°C].
    level
        Level of the interval of the mean.

    Returns
    -------
    CoverOffset

    Raises
    ------
    InputFault
        When the lists differ in length.

    Notes
    -----
    Offset = inside - outside. Mean with Student's t interval. `plan_with_c` is ours, meant to err on the
    cold side: with at least five cold nights their 10 % quantile; with fewer the smallest offset of any
    night; and until five cold nights are known never above zero, because covers can be colder than the open
    on clear calm nights (Oregon State University 1988).

    References
    ----------
    Student (1908). Oregon State University (1988), row cover trials, for covers colder than the open.

    Examples
    --------
    >>> round(cover_offset([2.1, -1.4, 0.3], [3.0, -1.6, 1.5]).plan_with_c, 3)
    -0.2
    """
    if len(outside_c) != len(inside_c):
        raise InputFault(
            "/inside_c", f"Pairs need lists of one length; there are {len(outside_c)} and {len(inside_c)}."
        )
    pairs = [(o, i) for o, i in zip(outside_c, inside_c, strict=True) if o is not None and i is not None]
    offsets = [inside - out for out, inside in pairs]
    cold = [inside - out for out, inside in pairs if out < cold_below_c]
    n_missing = len(outside_c) - len(pairs)
    plan, cautions = _plan(offsets, cold)
    if not offsets:
        why = ("There are no nights with both minima yet.",)
        return CoverOffset(0, None, None, None, None, None, 0, None, plan, n_missing, why, cautions)
    mean = math.fsum(offsets) / len(offsets)
    sd = low = high = None
    why_not = []
    if len(offsets) < 2:
        why_not.append("A spread and an interval need at least two nights.")
    else:
        sd = math.sqrt(math.fsum((value - mean) ** 2 for value in offsets) / (len(offsets) - 1))
        reach = _t(len(offsets) - 1, level) * sd / math.sqrt(len(offsets))
        low, high = mean - reach, mean + reach
    if not cold:
        why_not.append(
            f"No night was below {cold_below_c:g} °C outside, so there is no mean for cold nights."
        )
    return CoverOffset(
        n=len(offsets),
        mean_c=mean,
        sd_c=sd,
        low_c=low,
        high_c=high,
        lowest_c=min(offsets),
        n_cold=len(cold),
        mean_cold_c=math.fsum(cold) / len(cold) if cold else None,
        plan_with_c=plan,
        n_missing=n_missing,
        why_not=tuple(why_not),
        cautions=cautions,
    )


def _plan(offsets: Sequence[float], cold: Sequence[float]) -> tuple[float, tuple[str, ...]]:
    if len(cold) >= ENOUGH_COLD:
        plan = quantile(cold, CAUTIOUS_SHARE)
        said = ["Learnt with this cover as it stood; a tear, an open door or wet fleece changes it."]
    else:
        plan = min(0.0, *offsets) if offsets else 0.0
        said = [
            f"Only {len(cold)} cold nights, {ENOUGH_COLD} are needed: until then no warmth is counted on."
        ]
    if any(value < 0 for value in offsets):
        said.append("On some nights it was colder under the cover than outside.")
    return plan, tuple(said)


def _t(df: int, level: float) -> float:
    from scipy.special import stdtrit

    return -float(stdtrit(df, (1 - level) / 2))


CALCULATION = Calculation(
    name="cover-offset",
    question="How much warmer is it under this cover, and what may be counted on?",
    source="Student 1908; Oregon State University 1988 (covers colder than open air); plan_with_c ours",
    method="paired minima; plan with the low end of the cold nights",
    params=(
        Param(
            "outside_c", "numbers_or_null", unit="°C", low=-100, high=100, doc="Lowest temperature outside."
        ),
        Param("inside_c", "numbers_or_null", unit="°C", low=-100, high=100, doc="The same nights, inside."),
        Param(
            "cold_below_c",
            "number",
            required=False,
            default=0.0,
            unit="°C",
            low=-100,
            high=100,
            doc="A night is cold when the outside is below this.",
        ),
        LEVEL,
    ),
    run=cover_offset,
    example={
        "outside_c": [2.1, -1.4, 0.3, 3.0, -2.2, 1.1, -0.5, 4.2],
        "inside_c": [3.0, -1.6, 1.5, 4.4, -1.9, 2.6, 0.6, 5.1],
    },
    returns={
        "n": "nights with both minima",
        "mean_c, sd_c": "mean offset and its spread from night to night [°C]",
        "low_c, high_c": "interval of the mean [°C]",
        "lowest_c": "smallest offset [°C]",
        "n_cold, mean_cold_c": "cold nights and their mean offset [°C]",
        "plan_with_c": "the cautious figure for warnings [°C]",
    },
    rules=(
        "Nights with one minimum missing are left out and counted.",
        "Until five cold nights are known plan_with_c is never above zero.",
        "With five or more cold nights plan_with_c is their 10 % quantile.",
    ),
    needs_scipy=True,
)
