"""Small made-up plots for single rules: facts written down by hand, nothing of the digest in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any

from underboard.core.warnings import RULES
from underboard.core.warnings.facts import (
    BoardCount,
    CatchFact,
    CropFact,
    Facts,
    PlaceFact,
    PlotFact,
    ReadingFact,
    RoundFact,
    StationFact,
    TreatmentFact,
)
from underboard.core.warnings.terms import Due, Held, chosen

PLOT = PlotFact("plot", "A plot", "Europe/London", 54.4, -0.5, "morning", 2019)
DAY = timedelta(days=1)


def at(day: date, hour: float = 6.0) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC) + timedelta(hours=hour)


def place(id_: str, kind: str = "bed", label: str = "", **more: Any) -> PlaceFact:
    return PlaceFact(
        id_, kind, label or id_.capitalize(), 6.0, more.get("broken_year"), more.get("neighbours", ())
    )


def station(id_: str, kind: str = "slug_board", place_id: str | None = "bed", **more: Any) -> StationFact:
    return StationFact(
        id_,
        kind,
        place_id,
        more.get("label", id_.capitalize()),
        more.get("walk_order", 0),
        more.get("exposure"),
        more.get("depth_m"),
        None,
        None,
        more.get("retired_on"),
    )


def walk(
    day: date, counts: Mapping[str, int | tuple[int, int] | None], valid: bool = True, **more: Any
) -> RoundFact:
    """A dawn round: board → number, (low, high) of a disputed one, or None where nobody could look."""
    boards = {
        id_: BoardCount(one, one, False) if isinstance(one, int) else BoardCount(*one, True)
        for id_, one in counts.items()
        if one is not None
    }
    return RoundFact(
        id=more.get("id", f"round-{day.isoformat()}"),
        at=at(day),
        day=day,
        finished=more.get("finished", True),
        valid=valid,
        not_valid_reason=None if valid else "dry",
        surface=more.get("surface", "damp"),
        disturbed=more.get("disturbed", False),
        night_low_c=more.get("night_low_c"),
        boards=boards,
        not_turned=sum(one is None for one in counts.values()),
        spoiled=0,
    )


def trap(
    station_id: str,
    set_on: date | None,
    lifted_on: date | None = None,
    found: int | None = None,
    valid: bool | None = True,
    **more: Any,
) -> CatchFact:
    return CatchFact(
        id=more.get("id", f"{station_id}-{set_on}-{lifted_on}"),
        station_id=station_id,
        set_at=None if set_on is None else at(set_on, 8),
        lifted_at=None if lifted_on is None else at(lifted_on, 8),
        state=None if lifted_on is None else "counted" if found else "none_found",
        wireworms=found,
        soil_c=more.get("soil_c"),
        valid=valid if lifted_on is not None else None,
        flaws=more.get("flaws", ()),
        rebaited=more.get("rebaited", False),
    )


def reading(station_id: str, day: date, hour: float = 9.0, **more: Any) -> ReadingFact:
    return ReadingFact(
        id=more.get("id", f"{station_id}-{day.isoformat()}"),
        at=at(day, hour),
        station_id=station_id,
        current_c=more.get("current_c"),
        max_c=more.get("max_c"),
        min_c=more.get("min_c"),
        reset=more.get("reset", True),
        max_on=day - DAY,
        min_on=day,
        one_day=more.get("one_day", True),
        provisional=False,
        flaws=more.get("flaws", ()),
        humidity_percent=more.get("humidity_percent"),
    )


def treatment(
    id_: str, day: date, places: Sequence[str], controls: Sequence[str] = (), **more: Any
) -> TreatmentFact:
    return TreatmentFact(
        id_, at(day, 19), day, more.get("kind", "nematodes"), tuple(places), tuple(controls), None, None, None
    )


def crop(id_: str, kind: str, place_id: str, *events: tuple[date, str]) -> CropFact:
    told = tuple((on, what, None, place_id) for on, what in sorted(events))
    return CropFact(id_, kind, place_id, None, told[0][0] if told else None, None, told)


def made(places: Iterable[PlaceFact] = (), stations: Iterable[StationFact] = (), **more: Any) -> Facts:
    """Facts in the order that rules may rely on: by time, then by id."""
    timed = ("rounds", "readings", "treatments", "evenings", "samples")
    told = {
        name: tuple(sorted(value, key=lambda one: (one.at, one.id))) if name in timed else value
        for name, value in more.items()
    }
    return Facts(
        plot=told.pop("plot", PLOT),
        places={one.id: one for one in sorted(places, key=lambda one: one.id)},
        stations={one.id: one for one in sorted(stations, key=lambda one: one.id)},
        **told,
    )


def ask(rule: str, facts: Facts, now: datetime, **settings: Any) -> tuple[list[Due], list[Held]]:
    """What a rule says with settings as a person would give them."""
    said = list(RULES[rule].run(facts, chosen(RULES[rule], settings), now))
    return [one for one in said if isinstance(one, Due)], [one for one in said if isinstance(one, Held)]
