"""A night of a plot: when it is, what was read in its evening and since, how cold it became."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from typing import Final

from underboard.core.agronomy.calendar.sun import sun
from underboard.core.warnings.facts import EveningFact, Facts, ReadingFact, StationFact
from underboard.core.warnings.nights import minima
from underboard.core.warnings.plot_time import DAY, at_clock
from underboard.core.warnings.timing import zone_of

NOON: Final = 12
#: The evening reading belongs two hours after sunset (FAO 2005); the lowest comes up to an hour after sunrise.
AFTER_SUNSET: Final = timedelta(hours=2)
AFTER_SUNRISE: Final = timedelta(hours=1)
#: Without a location or a sunset: from six in the evening, read at nine, over at nine in the morning.
_STARTS, _READ, _ENDS = 18, 21, 9


@dataclass(frozen=True, slots=True)
class Night:
    """One night by the plot's clock. `reading_at` None: there is no sunset, so there is nothing to read."""

    on: date
    start: datetime
    end: datetime
    sunset: datetime | None
    sunrise: datetime | None
    reading_at: datetime | None

    @property
    def hours(self) -> float | None:
        """Sunset to sunrise [h]."""
        if self.sunset is None or self.sunrise is None:
            return None
        return (self.sunrise - self.sunset).total_seconds() / 3600


def night_date(facts: Facts, at: datetime) -> date:
    """Return the local date on which the night of a moment began: before noon, the day before."""
    local = at.astimezone(zone_of(facts.plot.time_zone))
    return local.date() - timedelta(days=local.hour < NOON)


def night_on(facts: Facts, on: date) -> Night:
    """Return the night that begins on a local date."""
    plot = facts.plot
    if plot.latitude is None or plot.longitude is None:
        sunset = sunrise = None
    else:
        sunset, sunrise = _sun(on, plot.latitude, plot.longitude, plot.time_zone)
    start = sunset or at_clock(facts, on, _STARTS)
    end = sunrise + AFTER_SUNRISE if sunrise else at_clock(facts, on + DAY, _ENDS)
    reading_at = sunset + AFTER_SUNSET if sunset else None
    if plot.latitude is None or plot.longitude is None:
        reading_at = at_clock(facts, on, _READ)
    return Night(on, start, end, sunset, sunrise, reading_at)


@lru_cache(maxsize=4096)
def _sun(
    on: date, latitude: float, longitude: float, time_zone: str
) -> tuple[datetime | None, datetime | None]:
    """Sunset and sunrise of a night, in UTC; in high summer far north the sun sets after midnight.

    In UTC, because times of one zone are subtracted by the clock, and the clock may change in the night.
    """
    known = str(zone_of(time_zone))
    first = sun(on, latitude, longitude, known)
    then = sun(on + DAY, latitude, longitude, known)
    sunset = first.sunset if first.sunset is not None and first.sunset.hour >= NOON else None
    if sunset is None and then.sunset is not None and then.sunset.hour < NOON:
        sunset = then.sunset
    sunrise = then.sunrise
    if sunset is None or sunrise is None:
        return None, None
    sunset, sunrise = sunset.astimezone(UTC), sunrise.astimezone(UTC)
    return (sunset, sunrise) if sunset < sunrise else (None, None)


def evening_of(facts: Facts, night: date, now: datetime) -> EveningFact | None:
    """Return the newest evening reading in the open of a night; of two at one time the later id."""
    found = [
        one for one in facts.evenings if one.night == night and one.at <= now and not under_cover(facts, one)
    ]
    return found[-1] if found else None


def under_cover(facts: Facts, one: EveningFact) -> bool:
    """Whether an evening was read in a tunnel, frame or store."""
    place = facts.places.get(one.place_id or "")
    return place is not None and place.covered


def open_air(facts: Facts) -> str | None:
    """Return the thermometer that stands for the open air: the first on the walk (as in `nights.py`)."""
    found = [(s.walk_order, s.label, id_) for id_, s in facts.stations.items() if _hangs_open(facts, s)]
    return min(found)[2] if found else None


def _hangs_open(facts: Facts, station: StationFact) -> bool:
    place = facts.places.get(station.place_id or "")
    covered = place is not None and place.covered
    return station.kind == "thermometer" and station.exposure not in ("soil", "under_cover") and not covered


def thermometers(facts: Facts) -> dict[str, list[str]]:
    """Return air thermometers by place; "" for the one in the open that stands for all."""
    found: dict[str, list[str]] = {}
    first = open_air(facts)
    if first is not None:
        found[""] = [first]
    for id_, station in facts.stations.items():
        if id_ != first and station.kind == "thermometer" and station.exposure != "soil" and station.place_id:
            found.setdefault(station.place_id, []).append(id_)
    return found


def seen_in(facts: Facts, night: Night, evening: EveningFact, now: datetime) -> dict[str, float]:
    """Return the lowest current reading of each place since the evening, "" in the open [°C].

    Only up to sunrise: who reads at dawn sees for himself.
    """
    wanted = {id_: place for place, ids in thermometers(facts).items() for id_ in ids}
    found: dict[str, float] = {}
    for one in _read_between(facts, evening.at, min(now, night.sunrise or night.end)):
        place = wanted.get(one.station_id)
        if place is not None and one.current_c is not None and not one.flaws:
            found[place] = min(one.current_c, found.get(place, one.current_c))
    return found


def seen_times(facts: Facts, night: Night, after: datetime) -> list[datetime]:
    """Return when thermometers were read in a night, up to sunrise."""
    return [one.at for one in _read_between(facts, after, night.sunrise or night.end)]


def _read_between(facts: Facts, after: datetime, until: datetime) -> tuple[ReadingFact, ...]:
    first = bisect_left(facts.readings, after, key=lambda one: one.at)
    last = bisect_right(facts.readings, until, key=lambda one: one.at)
    return facts.readings[first:last]


def lowest_of(facts: Facts, since: date = date.min) -> Mapping[str, Mapping[date, float]]:
    """Return by place, "" in the open, the lowest temperature of each night from `since` on [°C]."""
    hung = thermometers(facts)
    place_of = {id_: place for place, ids in hung.items() for id_ in ids}
    found: dict[str, list[ReadingFact]] = {place: [] for place in hung}
    for one in facts.readings:
        place = place_of.get(one.station_id)
        if place is not None and one.min_c is not None and one.min_on > since:
            found[place].append(one)
    return {place: minima(found[place], ids) for place, ids in hung.items()}


def grass_minima(facts: Facts) -> dict[date, float]:
    """Return the lowest temperature of each night at the grass [°C]."""
    return minima(facts.readings, [id_ for id_, one in facts.stations.items() if one.kind == "grass_minimum"])
