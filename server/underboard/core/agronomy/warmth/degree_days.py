"""How much growing warmth has built up above a base temperature?"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault

Day = Callable[[float, float, float], float]


@dataclass(frozen=True)
class DegreeDays:
    """A heat sum.

    Attributes
    ----------
    daily
        Degree-days of each day [°C·d]; None for a day with a missing reading.
    total
        Their sum [°C·d]; None when more days are missing than `max_missing` allows.
    n_missing
        Days without a value.
    """

    daily: tuple[float | None, ...]
    total: float | None
    n_missing: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    method: str


def average_day(low_c: float, high_c: float, base_c: float) -> float:
    """Degree-days of one day from its plain average: ``max(0, (low + high)/2 - base)``."""
    return max(0.0, low_c / 2 + high_c / 2 - base_c)


def floored_day(low_c: float, high_c: float, base_c: float) -> float:
    """Degree-days of one day when each reading below the base counts as the base."""
    return max(low_c, base_c) / 2 + max(high_c, base_c) / 2 - base_c


def triangle_day(low_c: float, high_c: float, base_c: float) -> float:
    """Degree-days of one day whose temperature goes up and down in straight lines (Sevacherian 1977)."""
    if high_c <= base_c:
        return 0.0
    if low_c >= base_c:
        return low_c / 2 + high_c / 2 - base_c
    return (high_c - base_c) ** 2 / (2 * (high_c - low_c))


def sine_day(low_c: float, high_c: float, base_c: float) -> float:
    """Degree-days of one day whose temperature follows a sine curve (Baskerville & Emin 1969).

    Examples
    --------
    >>> round(sine_day(7, 14, 12), 2)
    0.47
    """
    if high_c <= base_c:
        return 0.0
    middle = low_c / 2 + high_c / 2
    if low_c >= base_c:
        return middle - base_c
    half_range = (high_c - low_c) / 2
    angle = math.asin(min(1.0, max(-1.0, (base_c - middle) / half_range)))
    return max(0.0, ((middle - base_c) * (math.pi / 2 - angle) + half_range * math.cos(angle)) / math.pi)


_CURVES: Final[dict[str, Day]] = {"sine": sine_day, "triangle": triangle_day}
METHODS: Final = ("sine", "triangle", "average", "floored", "double_sine", "double_triangle")
_WORDS: Final = {
    "sine": "single sine",
    "triangle": "single triangle",
    "average": "average",
    "floored": "average of floored readings",
    "double_sine": "double sine",
    "double_triangle": "double triangle",
}


def degree_days(
    min_c: Sequence[float | None],
    max_c: Sequence[float | None],
    base_c: float,
    upper_c: float | None = None,
    method: str = "sine",
    max_missing: int = 0,
) -> DegreeDays:
    """Sum the warmth above a base temperature.

    Parameters
    ----------
    min_c, max_c
        Lowest and highest temperature of each day, in order [°C, -100 to 100]; None where missing.
    base_c
        Lower threshold [°C].
    upper_c
        Upper threshold [°C], above `base_c`; warmth beyond it adds nothing more (horizontal cut-off).
    method
        ``sine``, ``triangle``, ``average``, ``floored``, ``double_sine`` or ``double_triangle``.
    max_missing
        How many missing days may be passed over before the total is withheld [days].

    Returns
    -------
    DegreeDays

    Raises
    ------
    InputFault
        When the lists differ in length, a minimum is above its maximum, or `upper_c` is not above `base_c`.

    Notes
    -----
    With ``m = (min + max)/2``, ``a = (max - min)/2`` and ``t = asin((b - m)/a)`` the single sine of a day
    that straddles the base b is ``((m - b)(pi/2 - t) + a cos t)/pi``. The cut-off U is taken off as
    ``sine(b) - sine(U)``. `average` and `floored` cap both readings at U first. The double methods give
    half a day to today's minimum and half to tomorrow's; the last day, whose tomorrow is unknown, uses its
    own minimum twice. A missing day is never zero degrees.

    A sum fits only a model that was fitted with the same method, base and cut-off.

    References
    ----------
    Baskerville, G. L. & Emin, P. (1969), Rapid estimation of heat accumulation from maximum and minimum
    temperatures, Ecology 50, 514-517. Sevacherian, V. et al. (1977), J. Econ. Entomol. (triangle).
    University of California IPM, degree-day glossary (double methods).

    Examples
    --------
    >>> degree_days([5, 8], [20, 18], base_c=10).n_missing
    0
    """
    _check(min_c, max_c, base_c, upper_c)
    day = _day_function(method, upper_c)
    double = method.startswith("double_")
    daily: list[float | None] = []
    for i, (low, high) in enumerate(zip(min_c, max_c, strict=True)):
        tomorrow = min_c[i + 1] if double and i + 1 < len(min_c) else low
        if low is None or high is None or tomorrow is None:
            daily.append(None)
        elif double:
            # Tomorrow's minimum can lie above today's maximum: the half wave then runs the other way.
            second = day(min(tomorrow, high), max(tomorrow, high), base_c)
            daily.append((day(low, high, base_c) + second) / 2)
        else:
            daily.append(day(low, high, base_c))
    n_missing = sum(value is None for value in daily)
    withheld = n_missing > max_missing
    total = None if withheld else math.fsum(value for value in daily if value is not None)
    why_not = (f"{_days(n_missing)} missing, and a missing day is not zero degrees.",) if withheld else ()
    cautions = []
    if n_missing and not withheld:
        cautions.append(f"The total leaves out {_days(n_missing)} and so is too low.")
    if double and daily:
        cautions.append("The last day has no tomorrow yet; its own minimum stands in for it.")
    return DegreeDays(tuple(daily), total, n_missing, why_not, tuple(cautions), _words(method, upper_c))


def _check(
    min_c: Sequence[float | None], max_c: Sequence[float | None], base_c: float, upper_c: float | None
) -> None:
    if len(min_c) != len(max_c):
        raise InputFault(
            "/max_c", f'"max_c" must be as long as "min_c": {len(max_c)} against {len(min_c)} days.'
        )
    for i, (low, high) in enumerate(zip(min_c, max_c, strict=True)):
        if low is not None and high is not None and low > high:
            raise InputFault(
                f"/min_c/{i}", f"The minimum {low:g} °C is above the maximum {high:g} °C; swap them."
            )
    if upper_c is not None and upper_c <= base_c:
        raise InputFault("/upper_c", f'"upper_c" must be above "base_c" ({base_c:g} °C); {upper_c:g} is not.')


def _day_function(method: str, upper_c: float | None) -> Day:
    plain = {"average": average_day, "floored": floored_day}.get(method)
    if plain is not None:
        if upper_c is None:
            return plain
        cap = upper_c
        return lambda low, high, base: plain(min(low, cap), min(high, cap), base)
    curve = _CURVES[method.removeprefix("double_")]
    if upper_c is None:
        return curve
    cut = upper_c
    return lambda low, high, base: curve(low, high, base) - curve(low, high, cut)


def _words(method: str, upper_c: float | None) -> str:
    return f"{_WORDS[method]}, {'no upper' if upper_c is None else 'horizontal upper'} cut-off"


def _days(n: int) -> str:
    return f"{n} day{'' if n == 1 else 's'}"


CALCULATION = Calculation(
    name="degree-days",
    question="How much growing warmth has built up above a base temperature?",
    source="Baskerville & Emin 1969, Ecology 50:514 (sine); Sevacherian 1977 (triangle); UC IPM (double)",
    method="degree-days, single sine unless asked otherwise, horizontal cut-off",
    params=(
        Param(
            "min_c", "numbers_or_null", unit="°C", low=-100, high=100, doc="Lowest temperature of each day."
        ),
        Param(
            "max_c", "numbers_or_null", unit="°C", low=-100, high=100, doc="Highest temperature of each day."
        ),
        Param("base_c", "number", unit="°C", low=-100, high=100, doc="Base temperature."),
        Param(
            "upper_c",
            "number",
            required=False,
            default=None,
            unit="°C",
            low=-100,
            high=100,
            doc="Upper cut-off, above the base.",
        ),
        Param("method", "choice", required=False, default="sine", choices=METHODS, doc="Shape of the day."),
        Param(
            "max_missing",
            "count",
            required=False,
            default=0,
            unit="days",
            doc="Missing days that may be passed over.",
        ),
    ),
    run=degree_days,
    example={"min_c": [5, 8, 7], "max_c": [20, 18, 14], "base_c": 10},
    returns={
        "daily": "degree-days of each day [°C·d], null where a reading is missing",
        "total": "their sum [°C·d], null when too many days are missing",
        "n_missing": "days without a value",
    },
    rules=(
        "A missing day is never zero degrees: the total is withheld unless max_missing allows it.",
        "Average and floored cap both readings at the upper cut-off before averaging.",
        "The double methods need tomorrow's minimum; the last day uses its own minimum twice and says so.",
        "Never add sums made by different methods, bases or cut-offs: "
        "a model holds only with those it was fitted with.",
    ),
)
