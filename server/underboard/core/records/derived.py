"""What follows from a record without asking anything else: is a trap valid, is a reading doubtful?

Nothing here refuses a record. A doubtful value is kept and said to be doubtful.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

#: Days a bait trap lies before it is examined: 10 to 14. Farm Advisory Service (SAC Consulting) for the Plant
#: Health Centre Scotland, project PHC2024/04, April 2025.
TRAP_DAYS: Final = (10.0, 14.0)
#: Mean soil temperature at 10 cm above which catches mean something, °C. Furlan, L. (2014), IPM thresholds
#: for Agriotes wireworm species in maize in Southern Europe, Journal of Pest Science 87, 609-617 (abstract).
TRAP_SOIL_C: Final = 8.0

TrapFlaw = Literal["too_short", "too_long", "too_cold", "not_counted", "set_unknown", "soil_unknown"]

#: Air and soil on a plot beyond these are more likely a slip than weather, °C. Wider than any British record
#: (−27.2 °C Braemar 1982, 40.3 °C Coningsby 2022, both from memory), with room for a closed
#: tunnel in sun; the margin itself is common practice, no source.
AIR_RANGE_C: Final = (-35.0, 60.0)
SOIL_RANGE_C: Final = (-15.0, 45.0)
#: Two scales of one thermometer may differ by this much, °C (common practice, no source).
SCALE_SLACK_C: Final = 1.0

ReadingFlaw = Literal["out_of_range", "max_below_min", "current_above_max", "current_below_min"]


@dataclass(frozen=True)
class TrapValidity:
    """Whether a catch may speak for its bed.

    `valid` is None when nothing speaks against it but something needed is not known. `days` is how long the
    trap lay [d], None when unknown.
    """

    valid: bool | None
    days: float | None
    flaws: tuple[TrapFlaw, ...]


def trap_validity(
    *,
    set_at: datetime | None,
    lifted_at: datetime,
    soil_c: float | None,
    state: str = "counted",
) -> TrapValidity:
    """Judge a bait trap.

    Parameters
    ----------
    set_at, lifted_at
        When it was set and lifted, with offset. The length is counted in local days as people do, with half a
        day of grace: set on a Monday evening and lifted ten days later in the morning is ten days.
    soil_c
        Soil temperature at lifting [°C].
    state
        `counted` and `none_found` are results; `not_turned` and `spoiled` are not.
    """
    flaws: list[TrapFlaw] = []
    days = None if set_at is None else (lifted_at - set_at).total_seconds() / 86400
    if state not in ("counted", "none_found"):
        flaws.append("not_counted")
    if days is None:
        flaws.append("set_unknown")
    elif days < TRAP_DAYS[0] - 0.5:
        flaws.append("too_short")
    elif days > TRAP_DAYS[1] + 0.5:
        flaws.append("too_long")
    if soil_c is None:
        flaws.append("soil_unknown")
    elif soil_c <= TRAP_SOIL_C:
        flaws.append("too_cold")
    unknown = {"set_unknown", "soil_unknown"}
    valid = True if not flaws else None if unknown.issuperset(flaws) else False
    return TrapValidity(valid, days, tuple(flaws))


def reading_flaws(
    *,
    current_c: float | None = None,
    max_c: float | None = None,
    min_c: float | None = None,
    soil: bool = False,
) -> tuple[ReadingFlaw, ...]:
    """Say what is doubtful about a thermometer reading; empty when nothing is.

    Parameters
    ----------
    current_c, max_c, min_c
        What it shows [°C]; None is not read.
    soil
        It hangs in the soil, where the range is narrower.
    """
    low, high = SOIL_RANGE_C if soil else AIR_RANGE_C
    flaws: list[ReadingFlaw] = []
    if any(value is not None and not low <= value <= high for value in (current_c, max_c, min_c)):
        flaws.append("out_of_range")
    if max_c is not None and min_c is not None and max_c < min_c:
        flaws.append("max_below_min")
    if current_c is not None and max_c is not None and current_c > max_c + SCALE_SLACK_C:
        flaws.append("current_above_max")
    if current_c is not None and min_c is not None and current_c < min_c - SCALE_SLACK_C:
        flaws.append("current_below_min")
    return tuple(flaws)
