"""From a value as entered to the canonical float: °C, metres, square metres, litres.

Rows keep what was typed, with its unit; every calculation inside takes plain floats. This is the border
between the two, on top of the one unit registry (`core.agronomy.unit_registry`), which is built at the first
conversion and not at import.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Final, Literal

from underboard.core.agronomy.unit_registry import NotAUnit, parse_unit, registry
from underboard.core.errors import InputFault

Measure = Literal["temperature", "temperature_difference", "length", "area", "volume", "mass"]

_CANONICAL: Final[Mapping[Measure, str]] = {
    "temperature": "degree_Celsius",
    "temperature_difference": "delta_degree_Celsius",
    "length": "meter",
    "area": "meter ** 2",
    "volume": "liter",
    "mass": "kilogram",
}


def canonical(value: float, unit: str, measure: Measure) -> float:
    """Return a value in the canonical unit of what it measures.

    Parameters
    ----------
    value
        The figure as entered.
    unit
        Its unit as entered, such as ``degF``, ``ft``, ``square yard``.
    measure
        What it measures. A calibration offset is a ``temperature_difference``: 9 °F of it are 5 °C.

    Returns
    -------
    float
        °C, K of difference, m, m², litres or kilograms.

    Raises
    ------
    InputFault
        The unit is none, or measures something else. The pointer is ``/unit``.

    Examples
    --------
    >>> round(canonical(41, "degF", "temperature"), 9)
    5.0
    >>> round(canonical(9, "degF", "temperature_difference"), 9)
    5.0
    """
    # Readings come in steps of a tenth, so a season of them is a few hundred different pairs.
    return _converted(float(value), unit, measure)


def temperature_c(quantity: Mapping[str, Any] | None) -> float | None:
    """Return a temperature field of a record body, such as ``{"value": 41, "unit": "degF"}``, in °C.

    None (not read) stays None.
    """
    if quantity is None:
        return None
    return canonical(quantity["value"], quantity["unit"], "temperature")


def offset_c(quantity: Mapping[str, Any] | None) -> float:
    """Return a thermometer's calibration offset in °C; none is 0."""
    if quantity is None:
        return 0.0
    return canonical(quantity["value"], quantity["unit"], "temperature_difference")


@lru_cache(maxsize=8192)
def _converted(value: float, unit: str, measure: Measure) -> float:
    from pint.errors import DimensionalityError

    start, end = _start_unit(unit, measure), registry().Unit(_CANONICAL[measure])
    try:
        return float(registry().Quantity(value, start).to(end).magnitude)
    except DimensionalityError:
        raise InputFault("/unit", f'"{unit}" does not measure a {measure.replace("_", " ")}.') from None


@lru_cache(maxsize=256)
def _start_unit(unit: str, measure: Measure) -> Any:
    try:
        found = parse_unit(unit)
    except NotAUnit as fault:
        raise InputFault("/unit", str(fault)) from None
    if measure == "temperature_difference" and str(found) in ("degree_Celsius", "degree_Fahrenheit"):
        return registry().Unit(f"delta_{found}")
    return found
