"""Is the evening reading missing on a night on which it may freeze?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any, Final

from underboard.core.agronomy.contract import COMMON_PRACTICE
from underboard.core.agronomy.frost.crop_damage import crop_damage
from underboard.core.agronomy.judged.cost_loss import cost_loss
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.frost_decision import AIR_FROST_C
from underboard.core.warnings.frost_learned import frost_learned
from underboard.core.warnings.frost_night import Night, evening_of, night_date, night_on, open_air
from underboard.core.warnings.frost_usual import LEVEL, Usual, usual_minimum
from underboard.core.warnings.frost_words import band, degrees, night_words
from underboard.core.warnings.plot_time import DAY
from underboard.core.warnings.rules import frost
from underboard.core.warnings.standing_crops import standing_crops
from underboard.core.warnings.terms import Due, Held, Rule, Said, chosen
from underboard.core.warnings.wording import percent, sentences, times

NAME: Final = "evening_reading"
#: The reminder stands for so long; whoever has not read by then is asleep.
STANDS_FOR: Final = timedelta(hours=3)
#: Who read an evening within so many nights has the habit.
HABIT_NIGHTS: Final = 14


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer two hours after sunset when nobody has read and something that stands could be hurt."""
    night = night_on(facts, night_date(facts, now))
    key = night.on.isoformat()
    if night.reading_at is None:
        yield Held(rule=NAME, key=key, why_not="There is no sunset that day, so there is no evening to read.")
        return
    if evening_of(facts, night.on, now) is not None:
        yield Held(rule=NAME, key=key, why_not="The evening reading is there.")
        return
    if not night.reading_at <= now < night.reading_at + STANDS_FOR:
        yield Held(rule=NAME, key=key, why_not="It is not the hour of the evening reading.")
        return
    watch = facts.watches.get(frost.NAME)
    asked = chosen(frost.RULE, watch.settings if watch else None)
    limits = _limits(facts, night, asked)
    if not limits:
        yield Held(rule=NAME, key=key, why_not="Nothing that stands out is known to be hurt by frost.")
        return
    yield _weighed(facts, night, limits, asked, usual_minimum(facts, night.on, now))


def _limits(facts: Facts, night: Night, asked: Mapping[str, Any]) -> list[float]:
    """Open-air minima at which something is touched [°C]: of each crop at its place, and the own temperature."""
    crops = standing_crops(facts, night.on)
    offsets = frost_learned(facts)["offsets"]
    found = []
    for crop in crops:
        critical = crop_damage(crop.kind, crop.stage, crop.hardened).critical_c
        if critical is not None:
            found.append(critical - (offsets.get(crop.place_id or "", {}).get("plan_with_c") or 0.0))
    if not found and (crops or not facts.crops):
        found.append(AIR_FROST_C)
    return found + ([asked["at_c"]] if asked["at_c"] is not None else [])


def _weighed(
    facts: Facts, night: Night, limits: list[float], asked: Mapping[str, Any], usual: Usual | None
) -> Said:
    key = night.on.isoformat()
    if usual is None:
        first = night.on - HABIT_NIGHTS * DAY
        if not any(first <= one.night < night.on for one in facts.evenings):
            why = "No evening reading tonight, and too few days of this plot to foretell a night without one."
            return Held(rule=NAME, key=key, why_not=why)
        headline = (
            f"No evening reading yet for {night_words(night)}: without it the night cannot be foretold."
        )
        return _due(facts, night, None, None, headline)
    p = max(usual.chance_below(limit) for limit in limits)
    figure = f"{degrees(usual.min_c)} ({band(*usual.interval())})"
    weighed = cost_loss(p, asked["cost"], asked["loss"])
    if not weighed.act:
        why = f"No evening reading; nights like the last ones come to {figure}, chance of harm {percent(p)}."
        return Held(rule=NAME, key=key, why_not=why)
    headline = (
        f"No evening reading yet for {night_words(night)}: it may fall to about {figure}, "
        f"chance of harm {percent(p)}."
    )
    return _due(facts, night, usual, p, headline)


def _due(facts: Facts, night: Night, usual: Usual | None, p: float | None, headline: str) -> Due:
    assert night.reading_at is not None
    low_c, high_c = (None, None) if usual is None else usual.interval()
    return Due(
        rule=NAME,
        key=night.on.isoformat(),
        window_start=night.reading_at,
        window_end=night.reading_at + STANDS_FOR,
        severity="Minor",
        urgency="Immediate",
        certainty="Possible",
        headline=headline,
        why=_why(usual),
        advice="Read air and wet bulb (or dew point) in the open now, and note sky and wind: that narrows it.",
        caution="Look where you step in the dark; a lamp beside the thermometer warms it.",
        numbers={
            "night": night.on.isoformat(),
            "min_c": None if usual is None else usual.min_c,
            "low_c": low_c,
            "high_c": high_c,
            "level": LEVEL,
            "p": p,
            "basis": None if usual is None else usual.basis,
            "from_c": None if usual is None else usual.from_c,
            "change_c": None if usual is None else usual.change_c,
            "n_nights": 0 if usual is None else usual.n,
        },
        station_ids=tuple(one for one in (open_air(facts),) if one),
        # Without a figure it is a habit that was left out, and no reason to make a sound.
        loud=usual is not None,
    )


def _why(usual: Usual | None) -> str:
    if usual is None:
        return (
            "The reading belongs two hours after sunset; there are too few days of this plot to do without."
        )
    if usual.basis == "afternoon":
        fall = degrees(-usual.change_c)
        begin = f"In the afternoon it was {degrees(usual.from_c)}; from there it usually falls {fall}"
    else:
        begin = (
            f"The newest minimum read was {degrees(usual.from_c)}; within a few nights that usually changes by about "
            f"{degrees(usual.sd_c)}"
        )
    return sentences(
        f"{begin} ({times(usual.n, 'time')} on this plot, whatever the sky).",
        "That is a wide guess: an evening reading tells more.",
    )


RULE = Rule(
    name=NAME,
    title="Evening reading missing",
    question="Is the evening reading missing on a night on which it may freeze?",
    group="tonight",
    source=f"two hours after sunset: Snyder & de Melo-Abreu 2005, FAO, ch. 5; the reminder: {COMMON_PRACTICE}",
    run=run,
)
