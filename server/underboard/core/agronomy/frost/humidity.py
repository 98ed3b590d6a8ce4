"""How moist is the air, where would dew form, and how cold is a wet surface?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, NamedTuple

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault


class _Magnus(NamedTuple):
    """Constants of ``e(T) = e0 exp(a T / (T + b))`` over water [kPa, -, °C]."""

    e0_kpa: float
    a: float
    b_c: float


FORMULAS: Final = {"wmo": _Magnus(0.6112, 17.62, 243.12), "fao56": _Magnus(0.6108, 17.27, 237.3)}
#: Psychrometer coefficients [1/°C]: FAO-56 p. 38 (ventilated about 5 m/s, natural about 1 m/s).
PSYCHROMETERS: Final = {"ventilated": 0.000662, "natural": 0.000800}
#: Without an instrument: the psychrometric constant itself, FAO-56 eq. 8 [1/°C].
PSYCHROMETRIC_CONSTANT: Final = 0.000665


@dataclass(frozen=True)
class Humidity:
    """The moisture of the air.

    Attributes
    ----------
    rh_percent
        Relative humidity over water [%].
    dew_c, wet_bulb_c
        Dew point and wet bulb temperature [°C].
    vapour_kpa, saturation_kpa, deficit_kpa
        Vapour pressure, its saturation value at the air temperature, and what is between [kPa].
    """

    rh_percent: float
    dew_c: float | None
    wet_bulb_c: float
    vapour_kpa: float
    saturation_kpa: float
    deficit_kpa: float
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    method: str


def saturation_kpa(air_c: float, formula: str = "wmo") -> float:
    """Saturation vapour pressure over water [kPa].

    Examples
    --------
    >>> round(saturation_kpa(15, "fao56"), 3), round(saturation_kpa(24.5, "fao56"), 3)
    (1.705, 3.075)
    """
    e0, a, b = FORMULAS[formula]
    return e0 * math.exp(a * air_c / (air_c + b))


def dew_point_c(vapour_kpa: float, formula: str = "wmo") -> float:
    """The temperature at which air of this vapour pressure [kPa, above 0] is saturated [°C]."""
    if vapour_kpa <= 0:  # so little humidity that nothing is left of it in a float
        raise ArithmeticError("no vapour, no dew point")
    e0, a, b = FORMULAS[formula]
    log = math.log(vapour_kpa / e0)
    return b * log / (a - log)


def wet_bulb_c(air_c: float, vapour_kpa: float, slope_kpa: float, formula: str = "wmo") -> float:
    """The wet bulb temperature that satisfies the psychrometer equation [°C].

    Notes
    -----
    Solves ``e(Tw) - slope (T - Tw) = e`` by halving between ``T - es/slope`` and T: the left side
    rises with Tw throughout, so there is one root. A fitted formula (Stull 2011) is 0.65 °C too cold at
    2 °C and 70 %, on the wrong side of freezing; hence the search.
    """
    low = max(-150.0, air_c - saturation_kpa(air_c, formula) / slope_kpa)
    high = air_c
    for _ in range(80):
        middle = (low + high) / 2
        if saturation_kpa(middle, formula) - slope_kpa * (air_c - middle) > vapour_kpa:
            high = middle
        else:
            low = middle
    return (low + high) / 2


def humidity(
    air_c: float,
    rh_percent: float | None = None,
    dew_c: float | None = None,
    wet_c: float | None = None,
    pressure_kpa: float = 101.325,
    formula: str = "wmo",
    psychrometer: str | None = None,
) -> Humidity:
    """Derive every measure of humidity from one.

    Parameters
    ----------
    air_c
        Air (dry bulb) temperature [°C, -60 to 70].
    rh_percent, dew_c, wet_c
        Exactly one of: relative humidity [%, above 0 to 100]; dew point [°C]; wet bulb [°C].
    pressure_kpa
        Air pressure [kPa, 30 to 120].
    formula
        ``wmo`` (Magnus, WMO No. 8) or ``fao56`` (Tetens).
    psychrometer
        ``ventilated`` (0.000662) or ``natural`` (0.0008); without it the psychrometric constant (0.000665).

    Returns
    -------
    Humidity

    Raises
    ------
    InputFault
        When not exactly one measure is given, or dew point or wet bulb are above the air, or the wet bulb is
        lower than dry air would make it.

    Notes
    -----
    ``e(T) = e0 exp(a T/(T + b))``; the dew point inverts it; ``e = e(Tw) - A p (T - Tw)`` for the wet bulb.
    Everything is over water, also below 0 °C.

    References
    ----------
    WMO No. 8, Guide to instruments and methods of observation, annex 4.B (constants from memory). Allen,
    R. G. et al. (1998), Crop evapotranspiration, FAO Irrigation and Drainage Paper 56, eq. 8, 11, 14, 15.

    Examples
    --------
    >>> round(humidity(5, rh_percent=90).dew_c, 3)
    3.495
    """
    given = [name for name, value in _named(rh_percent, dew_c, wet_c) if value is not None]
    if len(given) != 1:
        where = f"/{given[1]}" if given else "/rh_percent"
        raise InputFault(where, 'Give exactly one of "rh_percent", "dew_c" and "wet_c".')
    for name, value in (("dew_c", dew_c), ("wet_c", wet_c)):
        if value is not None and value > air_c:
            raise InputFault(
                f"/{name}", f'"{name}" {value:g} °C is above the air temperature {air_c:g} °C; check both.'
            )
    slope = (PSYCHROMETERS[psychrometer] if psychrometer else PSYCHROMETRIC_CONSTANT) * pressure_kpa
    saturation = saturation_kpa(air_c, formula)
    if wet_c is not None:
        vapour = saturation_kpa(wet_c, formula) - slope * (air_c - wet_c)
        if vapour <= 0:
            raise InputFault(
                "/wet_c",
                f"Even dry air would not cool the wet bulb to {wet_c:g} °C; check the wick and both.",
            )
    elif dew_c is not None:
        vapour = saturation_kpa(dew_c, formula)
    else:
        vapour = saturation * (rh_percent or 0.0) / 100
    dew = dew_c if dew_c is not None else dew_point_c(vapour, formula)
    wet = wet_c if wet_c is not None else wet_bulb_c(air_c, vapour, slope, formula)
    return Humidity(
        rh_percent=rh_percent if rh_percent is not None else 100 * vapour / saturation,
        dew_c=dew,
        wet_bulb_c=wet,
        vapour_kpa=vapour,
        saturation_kpa=saturation,
        deficit_kpa=saturation - vapour,
        why_not=(),
        cautions=_cautions(air_c, dew, wet, wet_c is not None),
        method=f"{formula} over water; psychrometer {psychrometer or 'constant (0.000665 p)'}",
    )


def _named(
    rh_percent: float | None, dew_c: float | None, wet_c: float | None
) -> tuple[tuple[str, float | None], ...]:
    return ("rh_percent", rh_percent), ("dew_c", dew_c), ("wet_c", wet_c)


def _cautions(air_c: float, dew_c: float, wet_c: float, measured: bool) -> tuple[str, ...]:
    said = []
    if dew_c < -45 or air_c > 60:
        said.append("Outside -45 to 60 °C, for which the formula was made.")
    if measured and wet_c < 0:
        said.append("Below 0 °C the wick may carry ice; this takes it as water.")
    elif dew_c < 0:
        said.append(
            "Below 0 °C this is the dew point over water; frost forms at a slightly higher temperature."
        )
    return tuple(said)


def _optional(key: str, unit: str, low: float, high: float, doc: str, *, low_open: bool = False) -> Param:
    return Param(
        key, "number", required=False, default=None, unit=unit, low=low, high=high, low_open=low_open, doc=doc
    )


CALCULATION = Calculation(
    name="humidity",
    question="How moist is the air, where would dew form, and how cold is a wet surface?",
    source="WMO No. 8, annex 4.B (from memory); FAO-56 eq. 8, 11, 14, 15",
    method="Magnus formula over water; wet bulb by solving the psychrometer equation",
    params=(
        Param("air_c", "number", unit="°C", low=-60, high=70, doc="Air temperature."),
        _optional("rh_percent", "%", 0, 100, "Relative humidity; or one of the next two.", low_open=True),
        _optional("dew_c", "°C", -100, 70, "Dew point."),
        _optional("wet_c", "°C", -60, 70, "Wet bulb temperature."),
        Param(
            "pressure_kpa",
            "number",
            required=False,
            default=101.325,
            unit="kPa",
            low=30,
            high=120,
            doc="Air pressure.",
        ),
        Param(
            "formula",
            "choice",
            required=False,
            default="wmo",
            choices=tuple(FORMULAS),
            doc="Saturation vapour pressure.",
        ),
        Param(
            "psychrometer",
            "choice",
            required=False,
            default=None,
            choices=tuple(PSYCHROMETERS),
            doc="Kind of wet bulb; without it the psychrometric constant.",
        ),
    ),
    run=humidity,
    example={"air_c": 2, "rh_percent": 70},
    returns={
        "rh_percent": "relative humidity [%]",
        "dew_c": "dew point over water [°C]",
        "wet_bulb_c": "wet bulb [°C]",
        "vapour_kpa, saturation_kpa, deficit_kpa": "vapour pressures [kPa]",
    },
    rules=(
        "Exactly one of rh_percent, dew_c, wet_c.",
        "A wet bulb that even dry air would not cool to is refused: the wick is dry or a thermometer off.",
        "Cheap hygrometers are off by 5 points: at 5 °C and 80 % that is 0.9 °C of dew point.",
        "Below 0 °C everything is over water.",
    ),
)
