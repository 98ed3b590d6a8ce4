"""What does the rule of thumb make of this catch?"""

from __future__ import annotations

from dataclasses import dataclass

from underboard.core.agronomy.contract import COMMON_PRACTICE, Calculation, Param
from underboard.core.agronomy.counts.poisson_interval import garwood
from underboard.core.agronomy.wireworm.searched import SQUARE_METRES_PER_ACRE, SQUARE_METRES_PER_HECTARE

PER_ACRE_FOR_EACH_PER_TRAP = 20_000


@dataclass(frozen=True)
class TrapThumb:
    """A catch per trap with limits, and what growers read into it.

    Attributes
    ----------
    per_trap, low_per_trap, high_per_trap
        Wireworms a trap, with exact 95 % Poisson limits: this is what was measured.
    per_acre, per_ha
        What the rule of thumb makes of it: not a measurement.
    """

    per_trap: float
    low_per_trap: float
    high_per_trap: float
    per_acre: float
    per_ha: float
    cautions: tuple[str, ...]


def trap_thumb(caught: int, n_traps: int) -> TrapThumb:
    """Apply the rule "20,000 an acre for each wireworm a bait trap".

    Parameters
    ----------
    caught
        Wireworms in all traps together.
    n_traps
        Traps lifted [from 1].

    Returns
    -------
    TrapThumb

    Notes
    -----
    3 a trap is 60,000 an acre, as the rule is told. It has no published source; catches depend on soil
    temperature, moisture and other food, so the catch per trap with its limits always stands beside it.

    Examples
    --------
    >>> trap_thumb(caught=18, n_traps=6).per_acre
    60000.0
    """
    low, high = garwood(caught, 0.95)
    per_acre = caught / n_traps * PER_ACRE_FOR_EACH_PER_TRAP
    cautions = [
        "This is a rule of thumb: no regression from bait catch to density is established.",
        "Traps count only when the soil was above 8 °C, moist and bare, and they lay 10 to 14 days.",
    ]
    if caught == 0:
        cautions.append("A nil catch is not a clean bed: read the upper limit.")
    return TrapThumb(
        per_trap=caught / n_traps,
        low_per_trap=low / n_traps,
        high_per_trap=high / n_traps,
        per_acre=per_acre,
        per_ha=per_acre * SQUARE_METRES_PER_HECTARE / SQUARE_METRES_PER_ACRE,
        cautions=tuple(cautions),
    )


CALCULATION = Calculation(
    name="trap-thumb",
    question="What does the rule of thumb make of this bait trap catch?",
    source=COMMON_PRACTICE,
    method="20,000 per acre for each wireworm per bait trap; exact 95 % Poisson limits of the catch per trap",
    params=(
        Param("caught", "count", doc="Wireworms in all traps together."),
        Param("n_traps", "count", low=1, high=1e6, doc="Traps lifted."),
    ),
    run=trap_thumb,
    example={"caught": 18, "n_traps": 6},
    returns={
        "per_trap, low_per_trap, high_per_trap": "wireworms a trap, with 95 % limits: the measurement",
        "per_acre": "by the rule of thumb",
        "per_ha": "by the rule of thumb",
    },
    rules=("Beds are better ranked by the upper limit of the catch a trap than by any density.",),
    needs_scipy=True,
)
