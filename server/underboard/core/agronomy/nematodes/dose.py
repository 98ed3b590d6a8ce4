"""How many nematodes, and how much culture, does this area need?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.contract import Calculation, Param

#: Nematodes per m² for about six weeks (UK horticultural distributor's leaflet).
FULL_DOSE_PER_M2: Final = 300_000.0
#: The weakest dose that is published, as a course of three (same leaflet).
WEAKEST_DOSE_PER_M2: Final = 50_000.0


@dataclass(frozen=True)
class NematodeDose:
    """What to prepare.

    Attributes
    ----------
    nematodes
        Number needed.
    culture_ml, culture_ml_per_m2
        Neat culture for the area, and for each m² [ml, ml/m²].
    packs
        Whole packs to buy; `packs_exact` unrounded.
    """

    nematodes: float
    culture_ml: float | None
    culture_ml_per_m2: float | None
    packs: int | None
    packs_exact: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def nematode_dose(
    area_m2: float, per_m2: float = FULL_DOSE_PER_M2, per_ml: float | None = None, pack: float | None = None
) -> NematodeDose:
    """Work out the dose for an area.

    Parameters
    ----------
    area_m2
        Area to treat [m², from 0].
    per_m2
        Dose [nematodes/m²].
    per_ml
        Strength of the culture as counted [nematodes/ml, above 0].
    pack
        Nematodes in a bought pack [above 0].

    Returns
    -------
    NematodeDose

    Notes
    -----
    ``nematodes = area dose``; ``culture = nematodes / strength``; packs are rounded up.

    References
    ----------
    Dose of a UK horticultural distributor: 300,000/m² lasts about six weeks, 150,000/m² every 2 to 6 weeks,
    50,000/m² every 2 to 4 weeks three times; 30 million treat 100 m².

    Examples
    --------
    >>> nematode_dose(250).nematodes
    75000000.0
    """
    nematodes = area_m2 * per_m2
    why_not, cautions = [], ["Follow the label of a bought product."]
    if per_ml is None:
        why_not.append("No strength of the culture (per_ml) was given, so there is no volume.")
    else:
        cautions.append(
            "A home brew is unidentified and unproven: keep an untreated control, wear gloves, wash hands, "
            "keep it off leaves to be eaten, and do not move or sell it."
        )
    if pack is None:
        why_not.append("No pack size was given, so there is no number of packs.")
    if per_m2 < WEAKEST_DOSE_PER_M2:
        cautions.append("Below 50,000 per m², the weakest dose that is published.")
    return NematodeDose(
        nematodes=nematodes,
        culture_ml=None if per_ml is None else nematodes / per_ml,
        culture_ml_per_m2=None if per_ml is None else per_m2 / per_ml,
        packs=None if pack is None else math.ceil(nematodes / pack),
        packs_exact=None if pack is None else nematodes / pack,
        why_not=tuple(why_not),
        cautions=tuple(cautions),
    )


CALCULATION = Calculation(
    name="nematode-dose",
    question="How many nematodes, and how much culture, does this area need?",
    source="UK horticultural distributor's dose table (300,000 per m² for about six weeks)",
    method="area times dose; culture by its counted strength; whole packs",
    params=(
        Param("area_m2", "number", unit="m²", low=0, high=1e8, doc="Area to treat."),
        Param(
            "per_m2",
            "number",
            required=False,
            default=FULL_DOSE_PER_M2,
            unit="per m²",
            low=0,
            low_open=True,
            high=1e9,
            doc="Dose.",
        ),
        Param(
            "per_ml",
            "number",
            required=False,
            default=None,
            unit="per ml",
            low=1e-3,
            high=1e9,
            doc="Strength of the culture, as counted.",
        ),
        Param(
            "pack",
            "number",
            required=False,
            default=None,
            low=1,
            high=1e12,
            doc="Nematodes in a bought pack.",
        ),
    ),
    run=nematode_dose,
    example={"area_m2": 250, "per_ml": 240, "pack": 30_000_000},
    returns={
        "nematodes": "number needed",
        "culture_ml, culture_ml_per_m2": "neat culture for the area, and for each m² [ml]",
        "packs, packs_exact": "whole packs to buy, and unrounded",
    },
    rules=("Without per_ml there is no volume, without pack no packs: null, and why_not says so.",),
)
