"""How many samples or traps before "none found" means something?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.agronomy.wireworm.miss_chance import CLUMPING, MEAN_PER_UNIT, PER_HA
from underboard.core.agronomy.wireworm.searched import RECOVERY, UNIT_AREA, log_chance_nil, mean_found

MOST_UNITS = 10**9


@dataclass(frozen=True)
class DetectionPlan:
    """A number of samples.

    Attributes
    ----------
    n_units
        Samples needed to find at least one with the wanted confidence; None when no number is enough.
    p_miss
        The chance that so many still find none.
    """

    n_units: int | None
    p_miss: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def detection_plan(
    confidence: float,
    per_ha: float | None = None,
    mean_per_unit: float | None = None,
    unit_area_m2: float | None = None,
    core_diameter_m: float | None = None,
    recovery: float = 1.0,
    k: float | None = None,
) -> DetectionPlan:
    """Give the number of samples that finds a density with a wanted confidence.

    Parameters
    ----------
    confidence
        Wanted chance of at least one find [above 0, below 1].
    per_ha, mean_per_unit, unit_area_m2, core_diameter_m, recovery, k
        As in ``miss-chance``.

    Returns
    -------
    DetectionPlan

    Raises
    ------
    InputFault
        As in ``miss-chance``.

    Notes
    -----
    ``n = ceil(ln(1 - confidence) / ln p0)``, p0 being the chance that one sample finds none.

    Examples
    --------
    >>> detection_plan(confidence=0.95, per_ha=62500, core_diameter_m=0.1016).n_units
    60
    """
    mean = mean_found(per_ha, mean_per_unit, unit_area_m2, core_diameter_m, recovery)
    nil = log_chance_nil(mean, k)
    cautions: tuple[str, ...] = ()
    if k is None:
        cautions = ("Larvae are taken to lie at random; when they clump, more samples are needed.",)
    wanted = math.log1p(-confidence)
    if nil == 0 or wanted / nil > MOST_UNITS:
        why = ("Where there are none, or next to none, no number of samples finds one.",)
        return DetectionPlan(None, None, why, cautions)
    n = max(math.ceil(wanted / nil * (1 - 1e-12)), 1)
    return DetectionPlan(n, math.exp(n * nil), (), cautions)


CALCULATION = Calculation(
    name="detection-plan",
    question='How many samples or traps before "none found" means something?',
    source="zero terms of the Poisson and negative binomial laws; Southwood, Ecological Methods (from memory)",
    method="smallest number of samples whose chance of finding none is at most 1 - confidence",
    params=(
        Param(
            "confidence",
            "number",
            low=0,
            high=1,
            low_open=True,
            high_open=True,
            doc="Wanted chance of at least one find.",
        ),
        PER_HA,
        MEAN_PER_UNIT,
        *UNIT_AREA,
        RECOVERY,
        CLUMPING,
    ),
    run=detection_plan,
    example={"confidence": 0.95, "per_ha": 62500, "core_diameter_m": 0.1016},
    returns={
        "n_units": "samples needed",
        "p_miss": "the chance that so many still find none",
    },
    rules=("A density of 0 cannot be detected: n_units is null.",),
)
