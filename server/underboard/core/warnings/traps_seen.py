"""Bait traps: which lie in the ground and since when, and what lifted ones are worth."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from underboard.core.warnings.facts import CatchFact, Facts
from underboard.core.warnings.plot_time import day_of

_SEARCHED: Final = ("counted", "none_found")
_FLAW_WORDS: Final[Mapping[str, str]] = {
    "too_short": "they lay less than 10 days",
    "too_long": "they lay more than 14 days",
    "too_cold": "the soil was not above 8 °C",
    "not_counted": "they were spoiled or not searched",
    "set_unknown": "nobody wrote down when they were set",
    "soil_unknown": "the soil temperature at lifting is not known",
}


@dataclass(frozen=True, slots=True)
class InGround:
    """A trap that lies in the ground since a day."""

    station_id: str
    kind: str
    place_id: str | None
    label: str
    set_on: date


def in_ground(facts: Facts, now: datetime) -> list[InGround]:
    """Return the traps that lie in the ground now, in the order of their stations.

    The newest open time counts; a lift that baited anew begins the next one by itself.
    """
    own: dict[str, list[CatchFact]] = defaultdict(list)
    for one in facts.catches:
        own[one.station_id].append(one)
    found = []
    for station_id, records in sorted(own.items()):
        station = facts.stations.get(station_id)
        since = _since(records, now)
        if since is None or station is None or station.kind not in ("bait_trap", "beetle_trap"):
            continue
        if station.retired_on is None or day_of(facts, now) < station.retired_on:
            found.append(
                InGround(station_id, station.kind, station.place_id, station.label, day_of(facts, since))
            )
    return found


def _since(records: Iterable[CatchFact], now: datetime) -> datetime | None:
    opened = [one.set_at for one in records if one.set_at and one.set_at <= now and not _lifted(one, now)]
    lifted = [one for one in records if _lifted(one, now) and one.state != "not_turned"]
    last = max(lifted, key=lambda one: (one.lifted_at or now, one.id), default=None)
    newest = max(opened, default=None)
    if newest is not None and (last is None or newest >= (last.set_at or newest)):
        return newest
    return last.lifted_at if last is not None and last.rebaited else None


def _lifted(one: CatchFact, now: datetime) -> bool:
    return one.lifted_at is not None and one.lifted_at <= now


def lifted_traps(facts: Facts, first: date, now: datetime) -> list[CatchFact]:
    """Return the bait traps lifted from a day on, in order of time."""
    found = [
        one
        for one in facts.catches
        if _lifted(one, now)
        and one.lifted_at is not None
        and day_of(facts, one.lifted_at) >= first
        and (station := facts.stations.get(one.station_id)) is not None
        and station.kind == "bait_trap"
    ]
    return sorted(found, key=lambda one: (one.lifted_at or now, one.id))


def searched(one: CatchFact) -> bool:
    """Whether somebody looked through it and wrote a number down."""
    return one.state in _SEARCHED and one.wireworms is not None


def place_of(facts: Facts, one: CatchFact) -> str | None:
    """Return the place a trap lies in."""
    station = facts.stations.get(one.station_id)
    return station.place_id if station else None


def flaw_words(flaws: Sequence[str]) -> str:
    """Return why traps do not count, in words."""
    return "; ".join(_FLAW_WORDS[one] for one in _FLAW_WORDS if one in flaws)
