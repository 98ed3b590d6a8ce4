"""What rules read: one plot at one time, in canonical units (°C, metres), times aware, ids as text.

Made from a digest (`digest.py`) by `facts_of`. Everything is in order of time, then of id, so that the order
in which records arrived leaves no trace.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class PlotFact:
    """The holding. `latitude` and `longitude` in degrees, None when the person gave none."""

    id: str
    name: str
    time_zone: str
    latitude: float | None
    longitude: float | None
    habit: str
    grass_out_year: int | None


@dataclass(frozen=True, slots=True)
class PlaceFact:
    """A place in use. `covered`: a tunnel, frame or store, where the open air's figures do not hold."""

    id: str
    kind: str
    label: str
    area_m2: float | None
    broken_year: int | None
    neighbours: tuple[str, ...]

    @property
    def covered(self) -> bool:
        return self.kind in ("tunnel", "frame", "store")


@dataclass(frozen=True, slots=True)
class StationFact:
    """A station, retired ones too (their old records count)."""

    id: str
    kind: str
    place_id: str | None
    label: str
    walk_order: int
    exposure: str | None
    depth_m: float | None
    core_diameter_m: float | None
    set_on: date | None
    retired_on: date | None

    def lies_on(self, day: date) -> bool:
        return (self.set_on is None or self.set_on <= day) and (
            self.retired_on is None or day < self.retired_on
        )


@dataclass(frozen=True, slots=True)
class EveningFact:
    """An evening reading. `night` is the local date on which the night began; `dew_c` None: not measured."""

    id: str
    at: datetime
    night: date
    place_id: str | None
    air_c: float
    dew_c: float | None
    sky: str | None
    wind: str | None

    @property
    def clear_calm(self) -> bool:
        """Whether radiation makes the night: not said to be overcast or broken, nor windy."""
        return self.sky in (None, "clear") and self.wind in (None, "calm", "light")


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """One thermometer read once, its calibration offset added.

    `max_on` and `min_on` are the local dates the extremes are credited to; `one_day` says that they span one
    day (reset the day before); `provisional` that the extreme may still have been to come. `humidity_percent` is
    what a logger measured with it.
    """

    id: str
    at: datetime
    station_id: str
    current_c: float | None
    max_c: float | None
    min_c: float | None
    reset: bool
    max_on: date
    min_on: date
    one_day: bool
    provisional: bool
    flaws: tuple[str, ...]
    humidity_percent: float | None = None


@dataclass(frozen=True, slots=True)
class BoardCount:
    """What is known of one board in one round: the number that stands, or the span of what people say."""

    low: int
    high: int
    disputed: bool

    @property
    def number(self) -> int | None:
        return None if self.disputed else self.low


@dataclass(frozen=True, slots=True)
class RoundFact:
    """One dawn round. `boards` has only boards somebody could look under."""

    id: str
    at: datetime
    day: date
    finished: bool
    valid: bool
    not_valid_reason: str | None
    surface: str | None
    disturbed: bool
    night_low_c: float | None
    boards: Mapping[str, BoardCount]
    not_turned: int
    spoiled: int


@dataclass(frozen=True, slots=True)
class CatchFact:
    """A bait or beetle trap; `lifted_at` None while it lies in the ground."""

    id: str
    station_id: str
    set_at: datetime | None
    lifted_at: datetime | None
    state: str | None
    wireworms: int | None
    soil_c: float | None
    valid: bool | None
    flaws: tuple[str, ...]
    rebaited: bool


@dataclass(frozen=True, slots=True)
class SampleFact:
    """Soil cores searched. `recovery` is the share of larvae the method finds [0 to 1]."""

    id: str
    at: datetime
    place_id: str
    cores: int
    core_diameter_m: float | None
    found: int
    method: str | None


@dataclass(frozen=True, slots=True)
class TreatmentFact:
    """Something done to places."""

    id: str
    at: datetime
    day: date
    kind: str
    place_ids: tuple[str, ...]
    control_place_ids: tuple[str, ...]
    product: str | None
    moisture: str | None
    soil_c: float | None


@dataclass(frozen=True, slots=True)
class CropFact:
    """One sowing or planting that stands. `events` are (local date, what, stage, place id)."""

    id: str
    kind: str
    place_id: str | None
    variety: str | None
    started_on: date | None
    ended_on: date | None
    events: tuple[tuple[date, str, str | None, str | None], ...]


@dataclass(frozen=True, slots=True)
class NightFact:
    """One clear night with what it was foretold from and what came: °C at the open-air thermometer."""

    night: date
    evening_c: float
    dew_c: float
    min_c: float


@dataclass(frozen=True, slots=True)
class PairFact:
    """Lowest temperature of one night in the open and at a place [°C]."""

    night: date
    outside_c: float
    inside_c: float


@dataclass(frozen=True, slots=True)
class StandingFact:
    """A warning raised before: `mark` is a hash of what people see of it."""

    id: str
    rule: str
    key: str
    raised_at: datetime
    window_start: datetime | None
    window_end: datetime | None
    ended_at: datetime | None
    severity: str | None
    numbers: Mapping[str, Any]
    mark: str
    loud: bool


@dataclass(frozen=True, slots=True)
class ReplyFact:
    """What somebody said to a warning."""

    id: str
    warning_id: str
    at: datetime
    seen: bool
    acted: bool
    outcome: str | None


@dataclass(frozen=True, slots=True)
class WatchFact:
    """What the plot wants of a rule."""

    id: str
    rule: str
    on: bool | None
    settings: Mapping[str, Any]
    quiet_from: str | None
    quiet_to: str | None
    channels: tuple[str, ...] | None


@dataclass(frozen=True, slots=True)
class DeviceFact:
    """A paired phone or logger."""

    id: str
    name: str
    kind: str
    last_seen_at: datetime | None


@dataclass(frozen=True, slots=True)
class HouseFacts:
    """What the server knows of itself; None where it does not apply or is not known."""

    devices: tuple[DeviceFact, ...] = ()
    backup_at: datetime | None = None
    first_record_at: datetime | None = None
    certificate_ends_at: datetime | None = None
    keeps_backups: bool = True


@dataclass(frozen=True)
class Facts:
    """One plot as rules see it."""

    plot: PlotFact
    places: Mapping[str, PlaceFact]
    stations: Mapping[str, StationFact]
    evenings: tuple[EveningFact, ...] = ()
    readings: tuple[ReadingFact, ...] = ()
    rounds: tuple[RoundFact, ...] = ()
    catches: tuple[CatchFact, ...] = ()
    samples: tuple[SampleFact, ...] = ()
    treatments: tuple[TreatmentFact, ...] = ()
    crops: tuple[CropFact, ...] = ()
    nights: tuple[NightFact, ...] = ()
    """Clear nights, older ones than the other facts too."""
    pairs: Mapping[str, tuple[PairFact, ...]] = field(default_factory=dict)
    """By place: nights with both minima."""
    watches: Mapping[str, WatchFact] = field(default_factory=dict)
    standing: tuple[StandingFact, ...] = ()
    replies: tuple[ReplyFact, ...] = ()
    since: datetime | None = None
    """Since when the plot is watched."""
    house: HouseFacts = field(default_factory=HouseFacts)

    def label(self, place_id: str | None) -> str:
        """What the person calls a place."""
        place = self.places.get(place_id or "")
        return place.label if place else "the plot"
