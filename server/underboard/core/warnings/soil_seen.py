"""Soil temperature by day, from a plot's own soil thermometers, with short gaps filled in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from underboard.core.warnings.facts import Facts
from underboard.core.warnings.plot_time import DAY, at_clock, day_of, today_of

#: Gaps of so many days between two readings are filled with a straight line: soil at 10 cm moves slowly
#: (common practice, no source). A longer gap stays a gap.
FILLED_DAYS: Final = 2
#: A reading older than this says nothing of the soil today.
FRESH_DAYS: Final = 4
#: Customary hour of a soil reading, by the plot's clock; of several on a day the nearest to it counts.
HOUR: Final = 9


@dataclass(frozen=True)
class SoilDays:
    """One soil thermometer by local day [°C], gaps filled where they are short.

    `by_day` has each day from the first reading to the last that is known; `read` are the days that were read.
    """

    station_id: str
    place_id: str
    depth_m: float | None
    by_day: Mapping[date, float]
    read: frozenset[date]

    @property
    def last(self) -> date:
        return max(self.by_day)

    def window(self, last: date, days: int) -> list[float | None]:
        """Return the days up to `last`, oldest first; None where nothing is known."""
        return [self.by_day.get(last - n * DAY) for n in reversed(range(days))]

    def mean(self, last: date, days: int) -> float | None:
        """Return the mean of the days up to `last`; None when one is missing."""
        known = [value for value in self.window(last, days) if value is not None]
        return sum(known) / days if len(known) == days else None


@dataclass(frozen=True, slots=True)
class NewestSoil:
    """The newest days of a soil thermometer: mean of what is known of the last `FRESH_DAYS` days."""

    place_id: str
    mean_c: float


def soil_days(facts: Facts, now: datetime, since: date) -> list[SoilDays]:
    """Return every soil thermometer in a place in use that was read since a day, in the order of stations."""
    rows: dict[str, dict[date, tuple[float, float]]] = {}
    begin = at_clock(facts, since)
    for one in reversed(facts.readings):
        if one.at < begin:
            break
        station = facts.stations.get(one.station_id)
        if station is None or station.exposure != "soil" or one.current_c is None or one.flaws:
            continue
        if one.at > now:
            continue
        day = day_of(facts, one.at)
        # By the clock that the reading was written down with.
        off = abs(one.at.hour + one.at.minute / 60 - HOUR)
        own = rows.setdefault(station.id, {})
        if day not in own or (off, one.current_c) < own[day]:
            own[day] = (off, one.current_c)
    found = []
    for station_id, by_day in sorted(rows.items()):
        station = facts.stations[station_id]
        if station.place_id in facts.places:
            read = {day: value for day, (_, value) in sorted(by_day.items())}
            filled = _filled(read)
            found.append(
                SoilDays(station_id, str(station.place_id), station.depth_m, filled, frozenset(read))
            )
    return found


def _filled(read: Mapping[date, float]) -> dict[date, float]:
    found: dict[date, float] = {}
    before: date | None = None
    for day, value in read.items():
        if before is not None and 1 < (day - before).days <= FILLED_DAYS + 1:
            gap = (day - before).days
            for n in range(1, gap):
                found[before + n * DAY] = read[before] + (value - read[before]) * n / gap
        found[day] = value
        before = day
    return found


def newest_soil(
    facts: Facts, places: Sequence[str], now: datetime, fresh_days: int = FRESH_DAYS
) -> NewestSoil | None:
    """Return the newest soil temperature of the places, or of any open ground when they have no thermometer.

    Readings older than `fresh_days` do not count.
    """
    today = today_of(facts, now)
    known = soil_days(facts, now, today - fresh_days * DAY)
    if not known:
        return None
    own = [one for one in known if one.place_id in places]
    outside = [one for one in known if not facts.places[one.place_id].covered]
    chosen = (own or outside or known)[0]
    newest = [value for day, value in chosen.by_day.items() if (chosen.last - day).days < FRESH_DAYS]
    return NewestSoil(chosen.place_id, _mean(newest))


def _mean(values: Iterable[float]) -> float:
    known = list(values)
    return sum(known) / len(known)
