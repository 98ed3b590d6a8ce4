"""Is it too hot in the tunnel or the frame?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from typing import Any, Final

from underboard.core.agronomy.contract import COMMON_PRACTICE
from underboard.core.warnings.facts import Facts, PlaceFact, ReadingFact
from underboard.core.warnings.frost_words import degrees
from underboard.core.warnings.plot_time import DAY, at_clock, end_of, today_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words

NAME: Final = "heat"


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer for each covered place: today's heat aloud, yesterday's maximum as a note."""
    today = today_of(facts, now)
    places = {id_: place for id_, place in facts.places.items() if place.kind in ("tunnel", "frame")}
    if not places:
        yield Held(rule=NAME, why_not="There is no tunnel and no frame.")
        return
    found = list(_hot(facts, places, settings["limit_c"], today, now))
    yield from found
    if not found:
        yield Held(rule=NAME, why_not=f"No reading above {degrees(settings['limit_c'])} in tunnel or frame.")


def _hot(
    facts: Facts, places: Mapping[str, PlaceFact], limit_c: float, today: date, now: datetime
) -> Iterator[Due]:
    midnight = at_clock(facts, today)
    recent = [one for one in facts.readings if midnight <= one.at <= now and not one.flaws]
    for place_id, place in sorted(places.items()):
        here = [one for one in recent if _hangs_in(facts, one, place_id)]
        for on in (today - DAY, today):
            seen = [c for one in here for c in _readings_of(one, on, today)]
            if seen and max(seen) > limit_c:
                yield _due(facts, place, on, max(seen), limit_c, past=on < today)


def _hangs_in(facts: Facts, one: ReadingFact, place_id: str) -> bool:
    station = facts.stations.get(one.station_id)
    return (
        station is not None
        and station.kind == "thermometer"
        and station.exposure != "soil"
        and station.place_id == place_id
    )


def _readings_of(one: ReadingFact, on: date, today: date) -> Iterator[float]:
    """What a reading of today says of the heat of a day: now, and its maximum on the day it is credited to."""
    if on == today and one.current_c is not None:
        yield one.current_c
    if one.max_c is not None and one.one_day and one.max_on == on:
        yield one.max_c


def _due(facts: Facts, place: PlaceFact, on: date, hottest_c: float, limit_c: float, *, past: bool) -> Due:
    # Yesterday's heat is shown through the day on which it was read.
    end = end_of(facts, on + DAY) if past else end_of(facts, on)
    said = f"It was {degrees(hottest_c)} in {place.label} on {day_words(on)}, above {degrees(limit_c)}"
    return Due(
        rule=NAME,
        key=f"{place.id}:{on.isoformat()}",
        window_start=at_clock(facts, on),
        window_end=end,
        severity="Minor" if past else "Moderate",
        urgency="Past" if past else "Immediate",
        certainty="Observed",
        headline=f"{said}: open earlier." if past else f"{said}: open up.",
        why=f"Read at the thermometer there; the limit of {degrees(limit_c)} is {COMMON_PRACTICE} unless you set it.",
        advice="Commonly done: doors and vents open from the morning, shade, wet paths, water early.",
        caution="Do not work long in a hot tunnel, and drink; whitewash and shade cloth are put up from firm ladders.",
        numbers={"day": on.isoformat(), "max_c": hottest_c, "limit_c": limit_c},
        place_ids=(place.id,),
        loud=not past,
    )


RULE = Rule(
    name=NAME,
    title="Too hot under cover",
    question="Is it too hot in the tunnel or the frame?",
    group="tonight",
    source=COMMON_PRACTICE,
    run=run,
    settings=(
        Setting(
            name="limit_c",
            kind="number",
            default=30.0,
            unit="°C",
            low=15,
            high=60,
            doc="Too hot above this (common practice, no source).",
        ),
    ),
)
