"""Was a thermometer misread, or not reset?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from underboard.core.records.derived import AIR_RANGE_C, SOIL_RANGE_C
from underboard.core.warnings.facts import Facts, ReadingFact, StationFact
from underboard.core.warnings.plot_time import day_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words, listed, sentences

NAME = "reading_implausible"
_FLAW_WORDS: Mapping[str, str] = {
    "max_below_min": "the maximum is below the minimum",
    "current_above_max": "it shows more now than its maximum",
    "current_below_min": "it shows less now than its minimum",
}


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer each thermometer whose newest reading is doubtful or was left without a reset."""
    newest: dict[str, ReadingFact] = {}
    for one in reversed(facts.readings):
        if now - one.at > timedelta(days=settings["days"]):
            break
        if one.at <= now:
            newest.setdefault(one.station_id, one)
    found = False
    for station_id, one in sorted(newest.items()):
        station = facts.stations.get(station_id)
        if station is None:
            continue
        doubts = [_doubt(flaw, station) for flaw in one.flaws]
        if settings["not_reset"] and not one.reset and (one.max_c is not None or one.min_c is not None):
            doubts.append("it was read and not reset")
        if doubts:
            found = True
            yield _due(facts, one, station, doubts, timedelta(days=settings["days"]))
    if not found:
        yield Held(rule=NAME, why_not="The newest reading of each thermometer looks right.")


def _doubt(flaw: str, station: StationFact) -> str:
    if flaw in _FLAW_WORDS:
        return _FLAW_WORDS[flaw]
    low, high = SOIL_RANGE_C if station.exposure == "soil" else AIR_RANGE_C
    return f"a figure lies outside {low:g} to {high:g} °C"


def _due(facts: Facts, one: ReadingFact, station: StationFact, doubts: list[str], holds: timedelta) -> Due:
    on = day_of(facts, one.at)
    figures = [
        f"{name} {value:.1f} °C"
        for name, value in (("now", one.current_c), ("highest", one.max_c), ("lowest", one.min_c))
        if value is not None
    ]
    return Due(
        rule=NAME,
        key=one.id,
        window_start=one.at,
        window_end=one.at + holds,
        severity="Minor",
        urgency="Past",
        certainty="Possible" if one.flaws else "Observed",
        headline=f"{station.label}, read on {day_words(on)}: {listed(doubts)}.",
        why=sentences(
            f"It was read as {listed(figures)}." if figures else None,
            "The reading is kept as it was entered."
            + (" Frost is not learned from a doubtful one." if one.flaws else ""),
            None if one.reset else "Without a reset the next extremes cannot be credited to one day.",
        ),
        advice="Look at the thermometer again, correct the reading, or reset it.",
        caution="",
        numbers={
            "flaws": list(one.flaws),
            "reset": one.reset,
            **{
                name: value
                for name, value in (("now_c", one.current_c), ("max_c", one.max_c), ("min_c", one.min_c))
                if value is not None
            },
        },
        place_ids=(station.place_id,) if station.place_id else (),
        station_ids=(station.id,),
        loud=False,
    )


RULE = Rule(
    name=NAME,
    title="Reading doubtful",
    question="Was a thermometer misread, or not reset?",
    group="house",
    source="limits wider than any British record, from memory; margins: common practice, no source",
    run=run,
    settings=(
        Setting(
            name="days",
            kind="whole",
            default=3,
            unit="days",
            low=1,
            high=30,
            doc="How long a doubtful reading stays in view (common practice, no source).",
        ),
        Setting(
            name="not_reset",
            kind="yes_no",
            default=True,
            doc="Say so, too, when a maximum or minimum was read and the thermometer not reset.",
        ),
    ),
)
