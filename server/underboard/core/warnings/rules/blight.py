"""Was the weather right for potato blight?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any, Final

from underboard.core.agronomy.frost.crop_damage import crop_damage
from underboard.core.agronomy.warmth.blight_days import FEWEST_HOURS, LOWEST_C, blight_days
from underboard.core.warnings.damp_days import DAMP_PERCENT, DampDay, damp_days
from underboard.core.warnings.episode import lasting_key
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.plot_time import DAY, at_clock, end_of, today_of
from underboard.core.warnings.standing_crops import StandingCrop, standing_crops
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words, listed, sentences

NAME = "blight"
#: Days looked through for pairs of fit days.
DAYS: Final = 14
_HOSTS: Final = ("potato", "tomato")


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer the newest two days running that were warm and damp enough, as a logger in the open measured them."""
    crops = [
        one for one in standing_crops(facts, today_of(facts, now)) if crop_damage(one.kind).crop in _HOSTS
    ]
    if not crops:
        yield Held(rule=NAME, why_not="No potatoes or tomatoes stand at the moment.")
        return
    days = damp_days(facts, now, DAYS)
    known = [one for one in days if one.known]
    if not known:
        yield Held(rule=NAME, why_not=_no_data(facts, days))
        return
    first = known[0].day
    by_day = {one.day: one for one in known}
    span = [first + n * DAY for n in range((known[-1].day - first).days + 1)]
    told = [
        {"min_c": by_day[day].min_c, "hours_rh_90": min(by_day[day].hours_rh_90, 24.0)}
        if day in by_day
        else {"min_c": None, "hours_rh_90": None}
        for day in span
    ]
    recent = today_of(facts, now) - settings["current_days"] * DAY
    met = [i for i in blight_days(told).met if span[i] >= recent]
    if not met:
        last = known[-1]
        said = (
            f"No two days running with at least {LOWEST_C:.0f} °C and {FEWEST_HOURS:.0f} hours at {DAMP_PERCENT:.0f} % "
            f"up to {day_words(last.day)} ({last.min_c:.1f} °C, {last.hours_rh_90:.0f} hours)."
        )
        yield Held(rule=NAME, why_not=said)
        return
    yield _due(facts, [by_day[span[i]] for i in met], by_day[span[met[-1] - 1]], crops, settings, now)


def _no_data(facts: Facts, days: list[DampDay]) -> str:
    if days:
        return "The logger's readings have gaps: no whole day is known, and hours at 90 % humidity cannot be counted."
    said = "No logger in the open measures humidity, and the hours at 90 % or more are what counts."
    if any(one.dew_c is not None for one in facts.evenings):
        said += " An evening reading is one moment and cannot say how long it stayed damp."
    return said


def _due(
    facts: Facts,
    met: list[DampDay],
    before: DampDay,
    crops: list[StandingCrop],
    settings: Mapping[str, Any],
    now: datetime,
) -> Due:
    last = met[-1]
    key, begun = lasting_key(facts, NAME, "plot", met[0].day, now)
    kinds = listed(sorted({one.kind for one in crops}))
    return Due(
        rule=NAME,
        key=key,
        window_start=at_clock(facts, begun),
        window_end=end_of(facts, last.day + settings["current_days"] * DAY),
        severity="Moderate",
        urgency="Expected",
        certainty="Possible",
        headline=(
            f"Blight weather on {day_words(before.day)} and {day_words(last.day)}: look at {kinds} in the next days."
        ),
        why=sentences(
            f"Lowest {before.min_c:.1f} and {last.min_c:.1f} °C, {before.hours_rh_90:.0f} and "
            f"{last.hours_rh_90:.0f} hours at {DAMP_PERCENT:.0f} % humidity or more.",
            f"Two days running with at least {LOWEST_C:.0f} °C and {FEWEST_HOURS:.0f} such hours are the Hutton "
            "criteria (James Hutton Institute and AHDB 2017, from memory).",
            f"Such days since {day_words(begun)}." if begun < last.day else None,
        ),
        advice=(
            "Commonly: look under leaves for pale-edged brown spots every day or two, take hurt leaves off at once, "
            "and cut potato haulm and lift two weeks later when it spreads. Water the soil, not the leaves."
        ),
        caution=(
            "Blight weather is not blight: it says nothing of whether spores are about. A logger's humidity is "
            "commonly off by some per cent. Do not compost blighted leaves; follow the label of anything sprayed."
        ),
        numbers={
            "days": [
                {"on": one.day.isoformat(), "min_c": one.min_c, "hours_rh_90": one.hours_rh_90}
                for one in (before, last)
            ],
            "since": begun.isoformat(),
        },
        crop_ids=tuple(sorted(one.crop_id for one in crops)),
        place_ids=tuple(sorted({one.place_id for one in crops if one.place_id})),
    )


RULE = Rule(
    name=NAME,
    title="Blight weather",
    question="Was the weather right for potato blight?",
    group="pests",
    source="Hutton criteria, James Hutton Institute and AHDB 2017 (from memory)",
    run=run,
    settings=(
        Setting(
            name="current_days",
            kind="whole",
            default=5,
            unit="days",
            low=1,
            high=14,
            doc="How long such a pair of days stays in view (common practice, no source).",
        ),
    ),
)
