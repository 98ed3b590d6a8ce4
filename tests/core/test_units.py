"""Values as entered, in canonical units."""

from __future__ import annotations

import pytest

from underboard.core.errors import InputFault
from underboard.core.units import canonical, offset_c, temperature_c


@pytest.mark.parametrize(
    ("value", "unit", "measure", "expected"),
    [
        (50.0, "degF", "temperature", 10.0),  # pint 0.25.3
        (-40.0, "degF", "temperature", -40.0),
        (4.5, "degC", "temperature", 4.5),
        (9.0, "degF", "temperature_difference", 5.0),
        (12.0, "foot", "length", 3.6576),  # the international foot is 0.3048 m by definition (1959)
        (1.0, "acre", "area", 4046.8564224),  # 4,840 square yards of 0.9144 m: Weights and Measures Act 1985
        (1.0, "gallon", "volume", 4.54609),  # Weights and Measures Act 1985, schedule 1
        (1.0, "lb", "mass", 0.45359237),
    ],
)
def test_canonical_values(value: float, unit: str, measure: str, expected: float) -> None:
    assert canonical(value, unit, measure) == pytest.approx(expected, rel=1e-12, abs=1e-9)  # type: ignore[arg-type]


def test_fields_of_a_record() -> None:
    assert temperature_c({"value": 41, "unit": "degF"}) == pytest.approx(5.0, abs=1e-9)
    assert temperature_c(None) is None
    assert offset_c({"value": -1.8, "unit": "degF"}) == pytest.approx(-1.0, abs=1e-9)
    assert offset_c(None) == 0.0


@pytest.mark.parametrize(
    ("unit", "measure"), [("m", "temperature"), ("nonsense", "length"), ("degC", "area")]
)
def test_a_unit_of_something_else_is_refused(unit: str, measure: str) -> None:
    with pytest.raises(InputFault) as told:
        canonical(1, unit, measure)  # type: ignore[arg-type]
    assert told.value.pointer == "/unit"
