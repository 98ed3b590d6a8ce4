"""Records of what was seen: rounds, counts, catches, readings, damage, notes, photos."""

# ruff: noqa: RUF009 - spec() is dataclasses.field() with rules; every default is None

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from underboard.core.records.ground import TEMPERATURE_UNITS
from underboard.core.records.spec import Quantity, Record, record_type, spec

STATES = ("counted", "none_found", "not_turned", "spoiled")
_STATE_DOC = "Counted, none found, not turned and spoiled are four different things."


def _temperature(doc: str, **rules: Any) -> Any:
    """A thermometer reading as entered. Only numbers beyond any scale in use are refused; doubtful ones are
    kept and flagged (`derived.doubtful_temperature`)."""
    return spec("quantity", doc, units=TEMPERATURE_UNITS, minimum=-200, maximum=300, **rules)


def _observer() -> Any:
    return spec("text", "Who saw it: a member's name.", max_length=80)


def _seen(*, required: bool = True) -> Any:
    return spec("instant", "When it was seen, with the offset of the place.", required=required)


@record_type("round")
@dataclass(frozen=True, kw_only=True)
class Round(Record):
    """One walk past stations."""

    kind: str | None = spec("choice", "Which walk.", required=True, choices=("dawn", "trap", "readings"))
    observed_at: str | None = _seen()
    started_at: str | None = spec("instant", "First station.")
    finished_at: str | None = spec("instant", "Last station.")
    surface: str | None = spec("choice", "The soil surface.", choices=("dry", "damp", "wet"))
    night_low: Quantity | None = _temperature("Lowest air temperature of the night before, when known.")
    valid: bool | None = spec("yes_no", "No says: leave this round out of means.")
    not_valid_reason: str | None = spec("text", "Why it is not valid.", max_length=400)
    disturbed: bool | None = spec("yes_no", "Watered, hoed or just treated.")
    observer: str | None = _observer()


@record_type("slug_count")
@dataclass(frozen=True, kw_only=True)
class SlugCount(Record):
    """One slug board turned once."""

    round_id: str | None = spec("ref", "The round it belongs to.", target="round")
    station_id: str | None = spec("ref", "The board.", required=True, target="station")
    state: str | None = spec("choice", _STATE_DOC, required=True, choices=STATES)
    count: int | None = spec("whole", "Slugs under the board.", minimum=0, maximum=9999)
    small: int | None = spec("whole", "Of these, up to 1 cm.", minimum=0, maximum=9999)
    large: int | None = spec("whole", "Of these, longer than 1 cm.", minimum=0, maximum=9999)
    egg_clusters: int | None = spec("whole", "Clusters of eggs.", minimum=0, maximum=9999)
    taxa: tuple[Mapping[str, Any], ...] | None = spec(
        "taxa", "Names with counts; aggregates are legitimate.", max_length=50
    )
    removed: bool | None = spec("yes_no", "The slugs were taken away.")
    reason: str | None = spec("text", "Why it was not turned or is spoiled.", max_length=400)
    observed_at: str | None = _seen()
    observer: str | None = _observer()
    photos: tuple[Mapping[str, Any], ...] | None = spec("photos", "Photos of it.", max_length=20)
    stands: bool | None = spec("yes_no", "Of a double count, the one that stands.")
    set_aside: bool | None = spec("yes_no", "Of a double count, one that does not stand.")


@record_type("trap_catch")
@dataclass(frozen=True, kw_only=True)
class TrapCatch(Record):
    """One bait trap lifted, or one beetle trap emptied. Wireworms and look-alikes are kept apart."""

    station_id: str | None = spec("ref", "The trap.", required=True, target="station")
    set_at: str | None = spec("instant", "When it was set.")
    observed_at: str | None = spec("instant", "When it was lifted; none while it lies in the ground.")
    state: str | None = spec("choice", _STATE_DOC + " None while it lies in the ground.", choices=STATES)
    wireworms: int | None = spec("whole", "Wireworms in it.", minimum=0, maximum=9999)
    millipedes: int | None = spec("whole", "Millipedes (many legs).", minimum=0, maximum=9999)
    leatherjackets: int | None = spec("whole", "Leatherjackets (no legs).", minimum=0, maximum=9999)
    centipedes: int | None = spec(
        "whole", "Centipedes (fast, one pair of legs a ring).", minimum=0, maximum=9999
    )
    beetles: int | None = spec("whole", "Click beetles in a beetle trap.", minimum=0, maximum=9999)
    rebaited: bool | None = spec("yes_no", "Baited or emptied, and set again.")
    soil: Quantity | None = _temperature("Soil temperature at lifting.")
    round_id: str | None = spec("ref", "The trap round it belongs to.", target="round")
    reason: str | None = spec("text", "Why it was not lifted or is spoiled.", max_length=400)
    observer: str | None = _observer()
    photos: tuple[Mapping[str, Any], ...] | None = spec("photos", "Photos of it.", max_length=20)


@record_type("soil_sample")
@dataclass(frozen=True, kw_only=True)
class SoilSample(Record):
    """Soil cores searched for wireworms."""

    place_id: str | None = spec("ref", "Where.", required=True, target="place")
    cores: int | None = spec("whole", "Cores taken.", required=True, minimum=1, maximum=9999)
    core_diameter_m: float | None = spec("number", "Diameter of the corer, metres.", minimum=0.001, maximum=2)
    depth_m: float | None = spec("number", "Depth of the cores, metres.", minimum=0, maximum=5)
    found: int | None = spec("whole", "Wireworms found in all cores together.", minimum=0, maximum=99999)
    method: str | None = spec("choice", "How they were got out.", choices=("hand_sort", "wash"))
    observed_at: str | None = _seen()
    observer: str | None = _observer()


@record_type("temperature")
@dataclass(frozen=True, kw_only=True)
class Temperature(Record):
    """One thermometer read once, as entered."""

    station_id: str | None = spec("ref", "The thermometer.", required=True, target="station")
    observed_at: str | None = _seen()
    current: Quantity | None = _temperature("What it shows now.")
    max: Quantity | None = _temperature("Highest since the last reset.")
    min: Quantity | None = _temperature("Lowest since the last reset.")
    reset_done: bool | None = spec("yes_no", "Maximum and minimum were set back after reading.")
    humidity_percent: float | None = spec(
        "number", "Relative humidity that a logger measured with it, percent.", minimum=0, maximum=100
    )
    round_id: str | None = spec("ref", "The readings round it belongs to.", target="round")
    observer: str | None = _observer()


@record_type("evening")
@dataclass(frozen=True, kw_only=True)
class Evening(Record):
    """Air and its moisture two hours after sunset: what tonight's frost is reckoned from."""

    place_id: str | None = spec("ref", "Where.", target="place")
    observed_at: str | None = _seen()
    air: Quantity | None = _temperature("Air temperature.", required=True)
    wet: Quantity | None = _temperature("Wet-bulb temperature.")
    dew: Quantity | None = _temperature("Dew point.")
    humidity_percent: float | None = spec("number", "Relative humidity, percent.", minimum=0, maximum=100)
    sky: str | None = spec("choice", "The sky.", choices=("clear", "broken", "overcast"))
    wind: str | None = spec("choice", "The wind.", choices=("calm", "light", "windy"))
    observer: str | None = _observer()


@record_type("damage")
@dataclass(frozen=True, kw_only=True)
class Damage(Record):
    """Plants or tubers looked at, and how many were hurt."""

    crop_id: str | None = spec("ref", "The crop.", target="crop")
    place_id: str | None = spec("ref", "The place.", target="place")
    observed_at: str | None = _seen()
    examined: int | None = spec("whole", "Looked at.", required=True, minimum=0, maximum=999_999)
    damaged: int | None = spec("whole", "Of these, damaged.", required=True, minimum=0, maximum=999_999)
    cause: str | None = spec("text", "What did it, as far as known.", max_length=200)
    observer: str | None = _observer()
    photos: tuple[Mapping[str, Any], ...] | None = spec("photos", "Photos of it.", max_length=20)


@record_type("note")
@dataclass(frozen=True, kw_only=True)
class Note(Record):
    """Words about a day or a place."""

    observed_at: str | None = _seen()
    text: str | None = spec("text", "The words.", required=True, max_length=8000)
    place_id: str | None = spec("ref", "Where, if it is about a place.", target="place")
    observer: str | None = _observer()
    photos: tuple[Mapping[str, Any], ...] | None = spec("photos", "Photos of it.", max_length=20)


@record_type("photo")
@dataclass(frozen=True, kw_only=True)
class Photo(Record):
    """A photo told by its SHA-256; the bytes follow by themselves."""

    sha256: str | None = spec("text", "SHA-256 of the bytes, 64 hex digits.", required=True, max_length=64)
    bytes: int | None = spec("whole", "Size in bytes.", minimum=1, maximum=100_000_000)
    parent_id: str | None = spec("ref", "The record it belongs to.")
    caption: str | None = spec("text", "What it shows.", max_length=400)
    taken_at: str | None = spec("instant", "When it was taken.")
    observed_at: str | None = _seen(required=False)
    observer: str | None = _observer()
