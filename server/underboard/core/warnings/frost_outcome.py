"""Did a night harm what stood out in it? By the minima that were read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from underboard.core.agronomy.frost.crop_damage import crop_damage
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.frost_decision import AIR_FROST_C
from underboard.core.warnings.standing_crops import StandingCrop, standing_crops

Lowest = Mapping[str, Mapping[date, float]]


@dataclass(frozen=True, slots=True)
class Touched:
    """A crop whose damage temperature was passed: `crop` None stands for air frost with no crop known."""

    crop: StandingCrop | None
    place_id: str | None
    critical_c: float
    low_c: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """A night that is over. `low_c` in the open [°C]."""

    night: date
    low_c: float
    touched: tuple[Touched, ...]
    own_met: bool

    @property
    def came(self) -> bool:
        return bool(self.touched) or self.own_met


def outcome_of(facts: Facts, night: date, lowest: Lowest, at_c: float | None) -> Outcome | None:
    """Return what a night did; None when its minimum in the open is not known.

    A place with a thermometer of its own is judged by it, other open places by the open air; a covered place
    without one is not judged. Where crops stand and none is known, and where none was ever recorded, frost of
    the air counts. No crop has a damage temperature above that, so warmer nights are over with at once.
    """
    low_c = lowest.get("", {}).get(night)
    if low_c is None:
        return None
    touched, known = [], False
    standing = standing_crops(facts, night) if min(lows_at(lowest, night)) < AIR_FROST_C else []
    for crop in standing:
        critical = crop_damage(crop.kind, crop.stage, crop.hardened).critical_c
        if critical is None:
            continue
        known = True
        here = _low_at(facts, crop.place_id, night, lowest, low_c)
        if here is not None and here < critical:
            touched.append(Touched(crop, crop.place_id, critical, here))
    if not known and low_c < AIR_FROST_C and (standing or not facts.crops):
        touched.append(Touched(None, None, AIR_FROST_C, low_c))
    return Outcome(night, low_c, tuple(touched), at_c is not None and low_c <= at_c)


def lows_at(lowest: Lowest, night: date) -> list[float]:
    """Return the minima of a night at all places that have one [°C]."""
    return [found[night] for found in lowest.values() if night in found]


def _low_at(facts: Facts, place_id: str | None, night: date, lowest: Lowest, open_c: float) -> float | None:
    own = lowest.get(place_id or "", {}).get(night)
    if own is not None:
        return own
    place = facts.places.get(place_id or "")
    return None if place is not None and place.covered else open_c
