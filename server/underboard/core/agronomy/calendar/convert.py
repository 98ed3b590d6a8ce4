"""What is this in another unit?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.agronomy.unit_registry import NotAUnit, parse_unit, registry
from underboard.core.errors import InputFault

#: Temperature scales with their own zero → the unit of their differences.
_DIFFERENCES: Final = {
    "degree_Celsius": "delta_degree_Celsius",
    "degree_Fahrenheit": "delta_degree_Fahrenheit",
    "degree_Reaumur": "delta_degree_Reaumur",
}


@dataclass(frozen=True)
class Converted:
    """The value in the unit asked for, and that unit as it was understood."""

    value: float
    unit: str


def convert(value: float, from_: str, to: str, difference: bool = False) -> Converted:
    """Convert a value to another unit.

    Parameters
    ----------
    value
        The figure.
    from_, to
        Units, such as degF, m**2, kg/hectare, square yard, rod, gallon.
    difference
        The figure is a difference of temperatures, not a temperature: 9 °F is then 5 °C.

    Returns
    -------
    Converted

    Raises
    ------
    InputFault
        When a unit is unknown, the two do not measure the same thing, or a temperature is below absolute
        zero.

    References
    ----------
    pint 0.25 (BIPM and NIST definitions). Weights and Measures Act 1985 (acre, gallon); rod: 5½ yards square.

    Examples
    --------
    >>> round(convert(10, "rod", "m**2").value, 6)
    252.928526
    """
    from pint.errors import DimensionalityError

    start, end = _unit("from", from_, difference), _unit("to", to, difference)
    try:
        quantity: Any = registry().Quantity(value, start)
        found = quantity.to(end)
        if not difference and str(start) in (*_DIFFERENCES, "kelvin") and quantity.to("kelvin").magnitude < 0:
            raise InputFault("/value", f"{value:g} {from_} is below absolute zero.")
    except DimensionalityError:
        raise InputFault("/to", f'"{from_}" and "{to}" do not measure the same thing.') from None
    return Converted(float(found.magnitude), f"{end:~}" or "1")


def _unit(key: str, words: str, difference: bool) -> Any:
    try:
        unit = parse_unit(words)
        name = str(unit)
        return registry().Unit(_DIFFERENCES[name]) if difference and name in _DIFFERENCES else unit
    except NotAUnit as fault:
        raise InputFault(f"/{key}", str(fault)) from None


CALCULATION = Calculation(
    name="convert",
    question="What is this in another unit?",
    source="pint 0.25 (BIPM and NIST definitions); Weights and Measures Act 1985; rod: 5½ yards square",
    method="unit registry",
    params=(
        Param("value", "number", low=-1e15, high=1e15, doc="The figure."),
        Param("from", "text", doc="Its unit, such as degF, square yard, rod, lb/acre."),
        Param("to", "text", doc="The unit wanted."),
        Param(
            "difference",
            "boolean",
            required=False,
            default=False,
            doc="A difference of temperatures, not a temperature.",
        ),
    ),
    run=convert,
    example={"value": 10, "from": "rod", "to": "m**2"},
    returns={"value": "in the unit asked for", "unit": "that unit as it was understood"},
    rules=(
        "acre is the international acre; pint, gallon, quart, fluid_ounce are imperial unless us_ is before.",
        "rod, pole and perch are the allotment's measure of area, 5½ yards square.",
        "A difference of 9 °F is 5 °C, a temperature of 9 °F is -12.8 °C: say which.",
    ),
)
