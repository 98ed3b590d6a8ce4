"""The plot's own lowest temperatures in the open, from everything that still knows of them."""

from __future__ import annotations

from datetime import date

from underboard.core.warnings.facts import Facts
from underboard.core.warnings.frost_night import open_air
from underboard.core.warnings.nights import minima


def open_air_minima(facts: Facts) -> dict[date, float]:
    """Return the lowest temperature of each night [°C], by the date on which it began.

    Readings are kept for a year; of older nights those remain that frost or a cover was learned from.
    """
    found: dict[date, float] = {one.night: one.min_c for one in facts.nights}
    for pairs in facts.pairs.values():
        for pair in pairs:
            found[pair.night] = min(pair.outside_c, found.get(pair.night, pair.outside_c))
    station_id = open_air(facts)
    if station_id is not None:
        found |= minima(facts.readings, [station_id])
    return found
