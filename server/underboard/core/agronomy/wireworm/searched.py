"""The ground that samples look through, and the inputs that describe it."""

from __future__ import annotations

import math
from typing import Final

from underboard.core.agronomy.contract import Param
from underboard.core.errors import InputFault

SQUARE_METRES_PER_HECTARE: Final = 1e4
#: The international acre: 4840 square yards of 0.9144 m (agrees with core/units, held by a test).
SQUARE_METRES_PER_ACRE: Final = 4840 * 0.9144**2

UNIT_AREA = (
    Param(
        "unit_area_m2",
        "number",
        required=False,
        default=None,
        unit="m²",
        low=1e-9,
        high=1e6,
        doc="Area of one sample (this or core_diameter_m).",
    ),
    Param(
        "core_diameter_m",
        "number",
        required=False,
        default=None,
        unit="m",
        low=1e-6,
        high=10,
        doc="Diameter of one round core (this or unit_area_m2).",
    ),
)
RECOVERY = Param(
    "recovery",
    "number",
    required=False,
    default=1.0,
    low=1e-6,
    high=1,
    doc="Share of the larvae present that is found: near 0.4 by hand sorting, 0.95 to 1 by washing.",
)
N_UNITS = Param("n_units", "count", low=1, high=1e6, doc="How many samples or traps.")


def unit_area(unit_area_m2: float | None, core_diameter_m: float | None) -> float:
    """Area of one sample [m²], from its area or from the diameter of a round core.

    Raises
    ------
    InputFault
        When neither or both are given.
    """
    if unit_area_m2 is not None and core_diameter_m is not None:
        raise InputFault("/core_diameter_m", "Give the area of a sample or the diameter of a core, not both.")
    if unit_area_m2 is not None:
        return unit_area_m2
    if core_diameter_m is not None:
        return math.pi * (core_diameter_m / 2) ** 2
    raise InputFault(
        "/unit_area_m2",
        "Give the area of one sample (unit_area_m2) or the diameter of a core (core_diameter_m).",
    )


def mean_found(
    per_ha: float | None,
    mean_per_unit: float | None,
    unit_area_m2: float | None,
    core_diameter_m: float | None,
    recovery: float,
) -> float:
    """Larvae that one sample finds on average, from a density or as given.

    Raises
    ------
    InputFault
        When neither or both are given, or a density comes without the size of a sample.
    """
    if mean_per_unit is not None:
        if per_ha is not None:
            raise InputFault("/per_ha", "Give a density (per_ha) or a mean per sample, not both.")
        if unit_area_m2 is not None or core_diameter_m is not None:
            which = "unit_area_m2" if unit_area_m2 is not None else "core_diameter_m"
            raise InputFault(
                f"/{which}", "The size of a sample has no part in a mean per sample; leave it out."
            )
        return mean_per_unit * recovery
    if per_ha is None:
        raise InputFault("/per_ha", "Give a density (per_ha) or a mean per sample (mean_per_unit).")
    return per_ha / SQUARE_METRES_PER_HECTARE * unit_area(unit_area_m2, core_diameter_m) * recovery


def log_chance_nil(mean: float, k: float | None) -> float:
    """Log of the chance that one sample finds none: Poisson, or negative binomial with clumping k."""
    return -mean if k is None else -k * math.log1p(mean / k)
