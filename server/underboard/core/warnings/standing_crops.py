"""Which crops stand out in a night, where, and how far they have come?

Plain data in, plain data out: the phone reckons the same (pwa/src/domain/standing_crops.ts).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from underboard.core.agronomy.frost.crop_damage import crop_damage
from underboard.core.warnings.facts import CropFact, Facts

# All of these are common practice, no source.
#: Seedlings show at the earliest so long after sowing, potato shoots so long after planting.
SEEDLINGS_AFTER: Final = timedelta(days=7)
SHOOTS_AFTER: Final = timedelta(days=14)
#: A crop that nobody has picked for so long is over; one of which nothing was heard for so long, too.
PICKED_OVER: Final = timedelta(days=21)
FORGOTTEN: Final = timedelta(days=365)
#: Hardening is lost again in warm weather (FAO 2005, ch. 4); it is counted on for so long.
HARDENED_FOR: Final = timedelta(days=21)
_RAISING: Final = ("chitted", "sown", "potted", "hardened", "planted")


@dataclass(frozen=True, slots=True)
class StandingCrop:
    """A crop that stands out. `place_id` None: nobody said where."""

    crop_id: str
    kind: str
    place_id: str | None
    stage: str | None
    hardened: bool


def standing_crops(facts: Facts, night: date) -> list[StandingCrop]:
    """Return the crops that stand in the night that begins on a date, in the order of their ids."""
    kinds = {id_: place.kind for id_, place in facts.places.items()}
    return standing_among(facts.crops, kinds, night)


def standing_among(crops: Iterable[CropFact], kinds: Mapping[str, str], night: date) -> list[StandingCrop]:
    """Return those of `crops` that stand; `kinds` says of each place in use what it is.

    Notes
    -----
    Planted out or being hardened off: it stands. Sown in the open: from a week on, unless it is a crop that
    is raised indoors and planted out later. Sown or potted in a tunnel or frame: it stands there. Potatoes
    have no leaves for two weeks after planting. Nothing said but that it began: it stands.
    """
    found = []
    for crop in sorted(crops, key=lambda one: one.id):
        place_id = _place(crop, night)
        kind = kinds.get(place_id or "")
        if kind == "store" or (place_id is not None and kind is None):
            continue
        if _there(crop, night) and _out(crop, kind, night):
            stage = next((e[2] for e in reversed(crop.events) if e[0] <= night and e[2]), None)
            hardened = any(
                e[1] == "hardened" and timedelta(0) <= night - e[0] <= HARDENED_FOR for e in crop.events
            )
            found.append(StandingCrop(crop.id, crop.kind, place_id, stage, hardened))
    return found


def _place(crop: CropFact, night: date) -> str | None:
    moved = [e[3] for e in crop.events if e[0] <= night and e[3]]
    return moved[-1] if moved else crop.place_id


def _there(crop: CropFact, night: date) -> bool:
    if crop.started_on is not None and crop.started_on > night:
        return False
    if crop.ended_on is not None and crop.ended_on <= night:
        return False
    past = [e for e in crop.events if e[0] <= night]
    if not past and crop.started_on is None:
        return not crop.events
    last_on = max([e[0] for e in past] + ([crop.started_on] if crop.started_on else []))
    if past and past[-1][1] == "harvested":
        return night - last_on <= PICKED_OVER
    return night - last_on <= FORGOTTEN


def _out(crop: CropFact, place_kind: str | None, night: date) -> bool:
    raised = {e[1]: e[0] for e in reversed(crop.events) if e[0] <= night and e[1] in _RAISING}
    if not raised:
        return True
    row = crop_damage(crop.kind)
    if "planted" in raised:
        return row.crop != "potato" or night - raised["planted"] >= SHOOTS_AFTER
    if "hardened" in raised:
        return True
    if "sown" in raised or "potted" in raised:
        begun = raised.get("sown") or raised["potted"]
        covered = place_kind in ("tunnel", "frame")
        outdoors = covered or not (row.raised_indoors or "potted" in raised)
        return outdoors and night - begun >= SEEDLINGS_AFTER
    return False
