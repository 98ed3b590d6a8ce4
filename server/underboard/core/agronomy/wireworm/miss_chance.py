"""If wireworms are there, how likely is it that the samples find none?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.agronomy.wireworm.searched import (
    N_UNITS,
    RECOVERY,
    UNIT_AREA,
    log_chance_nil,
    mean_found,
)

PER_HA = Param(
    "per_ha",
    "number",
    required=False,
    default=None,
    unit="larvae per hectare",
    low=0,
    doc="The density to be detected (this with the size of a sample, or mean_per_unit).",
)
MEAN_PER_UNIT = Param(
    "mean_per_unit",
    "number",
    required=False,
    default=None,
    low=0,
    high=1e9,
    doc="Larvae a sample or trap holds on average (this or per_ha).",
)
CLUMPING = Param(
    "k",
    "number",
    required=False,
    default=None,
    low=1e-9,
    doc="Clumping per sample; without it larvae are taken to lie at random.",
)


@dataclass(frozen=True)
class MissChance:
    """The chance that nothing is found.

    Attributes
    ----------
    p_miss
        Chance that all samples together find none [0 to 1].
    mean_found_per_unit
        What one sample would find on average.
    """

    p_miss: float
    mean_found_per_unit: float
    cautions: tuple[str, ...]


def miss_chance(
    n_units: int,
    per_ha: float | None = None,
    mean_per_unit: float | None = None,
    unit_area_m2: float | None = None,
    core_diameter_m: float | None = None,
    recovery: float = 1.0,
    k: float | None = None,
) -> MissChance:
    """Give the chance of a nil result where larvae are present.

    Parameters
    ----------
    n_units
        Samples or traps [1 to 1,000,000].
    per_ha, mean_per_unit
        Larvae per hectare (with the size of a sample), or per sample; one of them [from 0].
    unit_area_m2, core_diameter_m
        Size of a sample [m² or m], with `per_ha`.
    recovery
        Share of the larvae present that is found [above 0 to 1].
    k
        Clumping per sample [above 0]; None for the Poisson law.

    Returns
    -------
    MissChance

    Raises
    ------
    InputFault
        When density, mean or size of a sample are missing or contradict each other.

    Notes
    -----
    Poisson: ``exp(-n m)``. Negative binomial: ``(1 + m/k)^(-k n)``, m being what one sample finds on average.

    References
    ----------
    Zero terms of the two laws; Southwood, T. R. E., Ecological Methods (from memory).

    Examples
    --------
    >>> round(miss_chance(per_ha=62500, n_units=20, core_diameter_m=0.1016, recovery=0.4).p_miss, 4)
    0.6667
    """
    mean = mean_found(per_ha, mean_per_unit, unit_area_m2, core_diameter_m, recovery)
    cautions: tuple[str, ...] = ()
    if k is None:
        cautions = ("Larvae are taken to lie at random; when they clump, a miss is likelier.",)
    return MissChance(math.exp(n_units * log_chance_nil(mean, k)), mean, cautions)


CALCULATION = Calculation(
    name="miss-chance",
    question="If wireworms are there, how likely is it that the samples find none?",
    source="zero terms of the Poisson and negative binomial laws; Southwood, Ecological Methods (from memory)",
    method="zero term of the Poisson or negative binomial law",
    params=(N_UNITS, PER_HA, MEAN_PER_UNIT, *UNIT_AREA, RECOVERY, CLUMPING),
    run=miss_chance,
    example={"per_ha": 62500, "n_units": 20, "core_diameter_m": 0.1016, "recovery": 0.4},
    returns={
        "p_miss": "chance that all samples together find none",
        "mean_found_per_unit": "what one sample would find on average",
    },
    rules=("A density of 0 is missed with certainty: p_miss is 1.",),
)
