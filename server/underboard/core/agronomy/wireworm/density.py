"""How many wireworms per hectare do these finds mean?"""

from __future__ import annotations

from dataclasses import dataclass

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.counts.poisson_interval import garwood, upper_limit
from underboard.core.agronomy.wireworm.searched import (
    N_UNITS,
    RECOVERY,
    SQUARE_METRES_PER_ACRE,
    SQUARE_METRES_PER_HECTARE,
    UNIT_AREA,
    unit_area,
)


@dataclass(frozen=True)
class Density:
    """Larvae per area with exact Poisson limits.

    Attributes
    ----------
    area_m2
        Ground looked through [m²].
    per_m2, low_per_m2, high_per_m2
        Per square metre.
    per_ha, low_per_ha, high_per_ha
        Per hectare.
    per_acre
        Per international acre.
    one_find_per_ha
        What a single find stands for [1/ha].
    upper_one_sided_per_ha
        One-sided upper limit at the same level [1/ha].
    """

    area_m2: float
    per_m2: float
    low_per_m2: float
    high_per_m2: float
    per_ha: float
    low_per_ha: float
    high_per_ha: float
    per_acre: float
    one_find_per_ha: float
    upper_one_sided_per_ha: float
    cautions: tuple[str, ...]


def density(
    found: int,
    n_units: int,
    unit_area_m2: float | None = None,
    core_diameter_m: float | None = None,
    recovery: float = 1.0,
    level: float = 0.95,
) -> Density:
    """Turn finds in soil samples into a density.

    Parameters
    ----------
    found
        Larvae found in all samples together.
    n_units
        Samples taken [1 to 1,000,000].
    unit_area_m2, core_diameter_m
        Area of one sample [m²], or diameter of a round core [m]; one of them.
    recovery
        Share of the larvae present that is found [above 0 to 1].
    level
        Level of the limits.

    Returns
    -------
    Density

    Raises
    ------
    InputFault
        When the size of a sample is missing or given twice.

    Notes
    -----
    ``density = found / (n_units * area * recovery)``; limits of the find by Garwood. The chance part of
    `recovery` itself is not in the limits. Twenty cores of 4 inches: one larva is 61,673/ha.

    References
    ----------
    Garwood, F. (1936), Biometrika 28, 437-442. Recovery: Ann. appl. Biol. (1945) 32, 148-163.

    Examples
    --------
    >>> round(density(found=1, n_units=20, core_diameter_m=0.1016).per_ha)
    61673
    """
    area = n_units * unit_area(unit_area_m2, core_diameter_m)
    one = 1 / area / recovery
    low, high = garwood(found, level)
    hectare = SQUARE_METRES_PER_HECTARE
    cautions = []
    if found == 0:
        cautions.append("Nothing found is not nothing there: read the upper limit, and the chance of a miss.")
    if recovery == 1:
        cautions.append("Recovery is taken as complete; hand sorting finds only about 2 in 5 larvae (0.4).")
    return Density(
        area_m2=area,
        per_m2=found * one,
        low_per_m2=low * one,
        high_per_m2=high * one,
        per_ha=found * one * hectare,
        low_per_ha=low * one * hectare,
        high_per_ha=high * one * hectare,
        per_acre=found * one * SQUARE_METRES_PER_ACRE,
        one_find_per_ha=one * hectare,
        upper_one_sided_per_ha=upper_limit(found, level) * one * hectare,
        cautions=tuple(cautions),
    )


CALCULATION = Calculation(
    name="density",
    question="How many wireworms per hectare do these finds mean?",
    source="Garwood 1936, Biometrika 28:437",
    method="finds over area searched and recovery, exact Poisson limits",
    params=(
        Param("found", "count", doc="Larvae found in all samples together."),
        N_UNITS,
        *UNIT_AREA,
        RECOVERY,
        LEVEL,
    ),
    run=density,
    example={"found": 1, "n_units": 20, "core_diameter_m": 0.1016, "recovery": 0.4},
    returns={
        "area_m2": "ground looked through [m²]",
        "per_m2, low_per_m2, high_per_m2": "larvae per square metre, with limits",
        "per_ha, low_per_ha, high_per_ha": "larvae per hectare, with limits",
        "per_acre": "larvae per international acre",
        "one_find_per_ha": "what a single find stands for",
        "upper_one_sided_per_ha": "one-sided upper limit: what a nil result still allows",
    },
    rules=(
        "None found: the density is 0 but the limits are not; it is not a clean bed.",
        "Finds are taken as independent; larvae clump, so the truth is wider still.",
    ),
    needs_scipy=True,
)
