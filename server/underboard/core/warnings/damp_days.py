"""Days of a logger that measures humidity: lowest temperature, and hours in air that is nearly full of water."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from underboard.core.warnings.facts import Facts, ReadingFact
from underboard.core.warnings.plot_time import DAY, at_clock, day_of, end_of, today_of

#: So full is air in which leaves stay wet [%]: Hutton criteria, James Hutton Institute and AHDB 2017 (from memory).
DAMP_PERCENT: Final = 90.0
#: A reading stands for the time until the next one, and for no longer than this.
STANDS_FOR: Final = timedelta(minutes=90)
#: A day is known when readings stand for so many of its hours (common practice, no source).
FEWEST_HOURS: Final = 20.0


@dataclass(frozen=True, slots=True)
class DampDay:
    """One local day of one logger. `hours` are those that readings stand for."""

    day: date
    min_c: float
    hours_rh_90: float
    hours: float

    @property
    def known(self) -> bool:
        return self.hours >= FEWEST_HOURS


def damp_days(facts: Facts, now: datetime, n: int) -> list[DampDay]:
    """Return the last `n` whole days of the open-air logger that measured most, oldest first; gaps left out."""
    today = today_of(facts, now)
    begin = at_clock(facts, today - n * DAY)
    found: dict[str, list[ReadingFact]] = defaultdict(list)
    for one in reversed(facts.readings):
        if one.at < begin:
            break
        fit = one.humidity_percent is not None and one.current_c is not None and not one.flaws
        if fit and one.at <= now and _in_the_open(facts, one.station_id):
            found[one.station_id].append(one)
    if not found:
        return []
    station_id = max(sorted(found), key=lambda id_: len(found[id_]))
    rows = found[station_id][::-1]
    return [day for n_back in range(n, 0, -1) if (day := _day(facts, rows, today - n_back * DAY)) is not None]


def _day(facts: Facts, rows: Sequence[ReadingFact], day: date) -> DampDay | None:
    ends = end_of(facts, day)
    lows, damp, hours = [], 0.0, 0.0
    for i, one in enumerate(rows):
        if day_of(facts, one.at) != day or one.current_c is None or one.humidity_percent is None:
            continue
        until = min([one.at + STANDS_FOR, ends] + [later.at for later in rows[i + 1 : i + 2]])
        stands = (until - one.at).total_seconds() / 3600
        lows.append(one.current_c)
        hours += stands
        damp += stands if one.humidity_percent >= DAMP_PERCENT else 0.0
    return DampDay(day, min(lows), damp, hours) if lows else None


def _in_the_open(facts: Facts, station_id: str) -> bool:
    station = facts.stations.get(station_id)
    place = facts.places.get(station.place_id or "") if station else None
    covered = place is not None and place.covered
    return station is not None and station.exposure not in ("soil", "under_cover") and not covered
