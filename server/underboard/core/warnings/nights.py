"""Readings put right, and from them the clear nights and the paired minima that frost is learned from."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime, timedelta
from typing import Any

from underboard.core.records.derived import reading_flaws
from underboard.core.warnings.facts import NightFact, PairFact, ReadingFact

Entries = Mapping[str, Mapping[str, Any]]
COVERED = ("tunnel", "frame", "store")
DAY = timedelta(days=1)


def readings_of(temperatures: Entries, stations: Entries) -> list[ReadingFact]:
    """Return readings in order of time, calibration offset added, extremes judged by the reset before."""
    found = []
    last_reset: dict[str, date] = {}
    rows = sorted((datetime.fromisoformat(entry["at"]), id_, entry) for id_, entry in temperatures.items())
    for at, record_id, entry in rows:
        station = stations.get(entry["s"] or "", {})
        offset = station.get("offset") or 0.0
        now_c, max_c, min_c = (
            None if entry[name] is None else entry[name] + offset for name in ("now", "max", "min")
        )
        day = date.fromisoformat(entry["day"])
        reset_on = last_reset.get(entry["s"])
        flaws = reading_flaws(
            current_c=now_c, max_c=max_c, min_c=min_c, soil=station.get("exposure") == "soil"
        )
        found.append(
            ReadingFact(
                id=record_id,
                at=at,
                station_id=entry["s"],
                current_c=now_c,
                max_c=max_c,
                min_c=min_c,
                reset=entry["reset"],
                max_on=date.fromisoformat(entry["max_on"]),
                min_on=date.fromisoformat(entry["min_on"]),
                one_day=reset_on is not None and (day - reset_on).days <= 1,
                provisional=entry["early"],
                flaws=flaws,
                humidity_percent=entry.get("rh"),
            )
        )
        if entry["reset"]:
            last_reset[entry["s"]] = day
    return found


def is_open_air(station: Mapping[str, Any], places: Entries) -> bool:
    """Whether a thermometer hangs in the open: not in the soil, not under a cover, not in a covered place."""
    place = places.get(station.get("place_id") or "", {})
    exposure = station.get("exposure")
    return (
        station.get("kind") == "thermometer"
        and exposure not in ("soil", "under_cover")
        and place.get("kind") not in COVERED
    )


def open_air_station(stations: Entries, places: Entries) -> str | None:
    """Return the thermometer that stands for the open air: the first on the walk."""
    found = [(s.get("walk_order", 0), s.get("label", ""), id_) for id_, s in stations.items()]
    return next((id_ for _, _, id_ in sorted(found) if is_open_air(stations[id_], places)), None)


def minima(readings: Iterable[ReadingFact], station_ids: Iterable[str]) -> dict[date, float]:
    """Return the lowest temperature of each night, by the date on which the night began.

    Only extremes of one day that are not doubtful count; of several readings of a night the lowest.
    """
    wanted = set(station_ids)
    found: dict[date, float] = {}
    for one in readings:
        if one.station_id not in wanted or one.min_c is None or not one.one_day or one.flaws:
            continue
        night = one.min_on - DAY
        found[night] = min(one.min_c, found.get(night, one.min_c))
    return found


def nights_of(
    evenings: Entries, readings: list[ReadingFact], stations: Entries, places: Entries
) -> list[NightFact]:
    """Return the clear, calm nights that have an evening reading with dew point and a minimum, in order."""
    station = open_air_station(stations, places)
    if station is None:
        return []
    lowest = minima(readings, [station])
    last: dict[date, Mapping[str, Any]] = {}
    rows = sorted((datetime.fromisoformat(entry["at"]), id_) for id_, entry in evenings.items())
    for _, id_ in rows:
        entry = evenings[id_]
        if places.get(entry["place"] or "", {}).get("kind") not in COVERED:
            last[date.fromisoformat(entry["day"])] = entry
    return [
        NightFact(night, entry["air"], entry["dew"], lowest[night])
        for night, entry in sorted(last.items())
        if night in lowest and _clear(entry)
    ]


def _clear(entry: Mapping[str, Any]) -> bool:
    if entry["air"] is None or entry["dew"] is None or entry["dew"] > entry["air"]:
        return False
    return entry["sky"] in (None, "clear") and entry["wind"] in (None, "calm", "light")


def pairs_of(readings: list[ReadingFact], stations: Entries, places: Entries) -> dict[str, list[PairFact]]:
    """Return, for each place with a thermometer of its own, the nights with both minima, in order."""
    outside = open_air_station(stations, places)
    if outside is None:
        return {}
    lowest = minima(readings, [outside])
    inside_of: dict[str, list[str]] = defaultdict(list)
    for station_id, station in stations.items():
        hangs = station.get("kind") == "thermometer" and station.get("exposure") != "soil"
        if station_id != outside and hangs and station.get("place_id"):
            inside_of[station["place_id"]].append(station_id)
    found = {}
    for place_id, ids in sorted(inside_of.items()):
        inside = minima(readings, ids)
        pairs = [PairFact(n, lowest[n], inside[n]) for n in sorted(inside) if n in lowest]
        if pairs:
            found[place_id] = pairs
    return found
