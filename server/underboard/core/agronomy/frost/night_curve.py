"""When in the night does it get how cold?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault

#: The curve starts two hours after sunset.
START_HOUR: Final = 2.0


@dataclass(frozen=True)
class CurvePoint:
    """Air temperature [°C] at an hour after sunset [h]; None outside the night."""

    hour: float
    air_c: float | None


@dataclass(frozen=True)
class NightCurve:
    """A night's temperature.

    Attributes
    ----------
    coef
        Slope on the square root of the hours since the start [°C/h^0.5], zero or negative.
    points
        Temperature at each hour asked for.
    crosses_at_hour
        Hour after sunset at which the critical temperature is reached [h].
    """

    coef: float
    points: tuple[CurvePoint, ...]
    crosses_at_hour: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def night_curve(
    evening_c: float, min_c: float, night_hours: float, hours: Sequence[float] = (), critical_c: float = 0.0
) -> NightCurve:
    """Draw the temperature from two hours after sunset to sunrise.

    Parameters
    ----------
    evening_c
        Air temperature two hours after sunset [°C].
    min_c
        Lowest temperature, taken to come at sunrise [°C], not above `evening_c`.
    night_hours
        Sunset to sunrise [h, above 2 to 24].
    hours
        Hours after sunset at which the temperature is wanted [h].
    critical_c
        Temperature whose crossing is wanted [°C].

    Returns
    -------
    NightCurve

    Raises
    ------
    InputFault
        When the minimum is above the evening temperature.

    Notes
    -----
    ``T(h) = T2 + c sqrt(h - 2)`` with ``c = (Tmin - T2)/sqrt(N - 2)``; it crosses at
    ``2 + ((Tcrit - T2)/c)^2``. Where dew or frost forms the fall slows, which this does not know.

    References
    ----------
    Snyder, R. L. & de Melo-Abreu, J. P. (2005), Frost protection, FAO, Rome; the curve of the frost trend
    worksheet of the University of California, Davis.

    Examples
    --------
    >>> round(night_curve(0.95, -5.45, 15).crosses_at_hour, 4)
    2.2864
    """
    if min_c > evening_c:
        raise InputFault(
            "/min_c", f"The minimum {min_c:g} °C is above the evening temperature {evening_c:g} °C."
        )
    coef = (min_c - evening_c) / math.sqrt(night_hours - START_HOUR)
    points = tuple(
        CurvePoint(
            hour,
            evening_c + coef * math.sqrt(hour - START_HOUR) if START_HOUR <= hour <= night_hours else None,
        )
        for hour in hours
    )
    why_not: list[str] = []
    if any(point.air_c is None for point in points):
        why_not.append(
            f"The curve holds from 2 to {night_hours:g} hours after sunset; other hours are left empty."
        )
    crosses_at: float | None = None
    if evening_c <= critical_c:
        why_not.append(f"It is at or below {critical_c:g} °C before the curve starts.")
    elif min_c > critical_c:
        why_not.append(f"It does not come down to {critical_c:g} °C.")
    else:
        # At the minimum itself rounding must not carry the crossing past sunrise.
        crosses_at = min(night_hours, START_HOUR + ((critical_c - evening_c) / coef) ** 2)
    cautions = ("Clear, calm nights only; where dew or frost forms the fall slows.",)
    return NightCurve(coef + 0.0, points, crosses_at, tuple(why_not), cautions)


CALCULATION = Calculation(
    name="night-curve",
    question="When in the night does it get how cold?",
    source="Snyder & de Melo-Abreu 2005, Frost protection, FAO; UC Davis frost trend worksheet",
    method="square-root fall from two hours after sunset to the minimum at sunrise",
    params=(
        Param(
            "evening_c", "number", unit="°C", low=-100, high=100, doc="Temperature two hours after sunset."
        ),
        Param("min_c", "number", unit="°C", low=-100, high=100, doc="Lowest temperature, at sunrise."),
        Param("night_hours", "number", unit="h", low=2, high=24, low_open=True, doc="Sunset to sunrise."),
        Param(
            "hours",
            "numbers",
            required=False,
            default=(),
            unit="h",
            low=0,
            high=24,
            max_len=10_000,
            doc="Hours after sunset that are wanted.",
        ),
        Param(
            "critical_c",
            "number",
            required=False,
            default=0.0,
            unit="°C",
            low=-100,
            high=100,
            doc="Temperature whose crossing is wanted.",
        ),
    ),
    run=night_curve,
    example={"evening_c": 0.95, "min_c": -5.45, "night_hours": 15, "hours": [3, 4, 5, 10, 15]},
    returns={
        "coef": "slope on the square root of the hours [°C/h^0.5]",
        "points": "temperature at each hour asked for",
        "crosses_at_hour": "hour after sunset at which the critical temperature is reached",
    },
    rules=(
        "The curve starts two hours after sunset and ends at sunrise; other hours are null.",
        "No crossing: null, and why_not says whether it was cold before or never gets so cold.",
    ),
)
