"""The sentences of a frost warning."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from underboard.core.warnings.facts import EveningFact, Facts
from underboard.core.warnings.frost_decision import CropChance, FrostDecision, PlaceTonight
from underboard.core.warnings.frost_night import Night, seen_in
from underboard.core.warnings.frost_outcome import Outcome
from underboard.core.warnings.plot_time import DAY
from underboard.core.warnings.timing import zone_of
from underboard.core.warnings.wording import day_words, listed, percent, sentences, times

CAUTION: Final = (
    "On a clear, still night it can be colder under a cover than outside, so keep covers off the leaves and "
    "look at the thermometer inside. Heaters, candles and paraffin in a tunnel can start a fire and give off "
    "carbon monoxide: not in a closed space, never left alone. Mind ice on paths at dawn."
)
PAST_ADVICE: Final = (
    "Commonly done: leave hurt plants shaded and dry until noon, cut back what has gone black after a few days, "
    "and write down what was hurt, so that the next warning can be judged."
)
_OPEN_ADVICE: Final = (
    "Commonly done: fleece or straw over tender plants before dark and off again in the morning, soil drawn up "
    "over potato shoots, pots carried inside."
)
_COVERED_ADVICE: Final = (
    "In tunnel and frame: close before sunset, a second layer of fleece inside, clear of the leaves."
)
#: So far from two hours after sunset a reading tells of another hour than the nights it is held against.
_NEAR: Final = timedelta(hours=1)


def degrees(celsius: float) -> str:
    """Return a temperature as "−0.7 °C"."""
    return f"{round(celsius, 1) + 0.0:.1f} °C".replace("-", "−")


def band(low_c: float, high_c: float) -> str:
    """Return an interval as "−2.9 to 1.1 °C"."""
    return f"{round(low_c, 1) + 0.0:.1f} to {round(high_c, 1) + 0.0:.1f} °C".replace("-", "−")


def night_words(night: Night) -> str:
    """Return "the night to 30 April 2026"."""
    return f"the night to {day_words(night.on + DAY)}"


def at_risk(decision: FrostDecision, settings: Mapping[str, Any]) -> list[tuple[PlaceTonight, CropChance]]:
    """Return what is at risk, likeliest first: above the threshold, or all when the own temperature fires."""
    limit = decision.threshold if decision.threshold is not None else float("inf")
    rows = [
        (place, crop)
        for place in decision.places
        for crop in place.crops
        if crop.p is not None and crop.p > limit
    ]
    return sorted(rows, key=lambda row: (-(row[1].p or 0.0), row[1].kind, row[1].crop_id or ""))


def headline(facts: Facts, decision: FrostDecision, settings: Mapping[str, Any], night: Night) -> str:
    when = night_words(night)
    rows = at_risk(decision, settings)
    if not decision.by_chance or not rows:
        lowest = min([decision.min_c, *(place.min_c for place in decision.places)])
        return (
            f"It may fall to {degrees(lowest)} in {when} ({band(decision.low_c, decision.high_c)} in the open): "
            f"your own {degrees(settings['at_c'])} is met."
        )
    place, crop = rows[0]
    where = "in the open" if place.place_id is None else f"at {facts.label(place.place_id)}"
    figures = f"about {degrees(place.min_c)} there ({band(place.low_c, place.high_c)})"
    more = f"; {times(len(rows) - 1, 'other')} at risk too" if len(rows) > 1 else ""
    if crop.crop_id is None:
        return f"Frost {where} in {when}: {figures}, chance of frost {percent(crop.p or 0.0)}."
    return f"Frost may hurt {crop.kind} {where} in {when}: {figures}, chance {percent(crop.p or 0.0)}{more}."


def why(
    facts: Facts,
    decision: FrostDecision,
    settings: Mapping[str, Any],
    evening: EveningFact,
    night: Night,
    now: datetime,
) -> str:
    seen = seen_in(facts, night, evening, now).get("")
    return sentences(
        _read(facts, evening),
        _basis(decision),
        None
        if seen is None or seen >= evening.air_c
        else f"Since then {degrees(seen)} was read in the open.",
        _each(facts, decision),
        _rule(decision, settings),
        _late(evening, night),
        None if decision.clear else _not_clear(decision, evening),
        *(said for said in decision.cautions if decision.clear or not said.startswith("Holds for")),
        _unknown(decision),
    )


def _read(facts: Facts, evening: EveningFact) -> str:
    at = evening.at.astimezone(zone_of(facts.plot.time_zone))
    dew = "dew point not measured" if evening.dew_c is None else f"dew point {degrees(evening.dew_c)}"
    return f"At {at:%H:%M} it was {degrees(evening.air_c)}, {dew}."


def _basis(decision: FrostDecision) -> str:
    level = f"{100 * decision.level:.0f} % interval"
    reach = f"{level} {band(decision.low_c, decision.high_c)}"
    figure = f"That gives a lowest of {degrees(decision.min_c)} in the open ({reach})"
    if not decision.fitted_to_plot:
        return f"{figure}, from clear nights at four public stations: not fitted to your plot yet."
    if decision.dull_fitted:
        return f"{figure}, by the usual drop of {times(decision.n_nights, 'cloudy or windy night')} of this plot."
    how = "the usual drop" if decision.method == "mean_drop" else "evening and dew point"
    return f"{figure}, by {how} of {times(decision.n_nights, 'clear night')} of this plot."


def _each(facts: Facts, decision: FrostDecision) -> str | None:
    said = []
    for place in decision.places:
        if place.place_id is None or not place.offset_c:
            continue
        warmer = "warmer" if place.offset_c > 0 else "colder"
        said.append(
            f"{facts.label(place.place_id)} is counted {degrees(abs(place.offset_c))} {warmer} than the open, the "
            "cautious end of its own nights."
        )
    return sentences(*said) or None


def _rule(decision: FrostDecision, settings: Mapping[str, Any]) -> str | None:
    said = []
    if decision.threshold is not None:
        share = percent(min(1.0, decision.threshold))
        said.append(
            f"Covering costs {settings['cost']:g}, the harm {settings['loss']:g}: it pays above a chance of {share}."
        )
    if decision.by_own:
        said.append(f"You asked to be told at {degrees(settings['at_c'])}.")
    return sentences(*said) or None


def _late(evening: EveningFact, night: Night) -> str | None:
    if night.reading_at is None or abs(evening.at - night.reading_at) <= _NEAR:
        return None
    early = evening.at < night.reading_at
    apart = abs((evening.at - night.reading_at).total_seconds()) / 3600
    effect = "earlier, so it may become colder than this" if early else "later, so it may not become as cold"
    return f"The reading belongs two hours after sunset; this one is {apart:.1f} h {effect}."


def _not_clear(decision: FrostDecision, evening: EveningFact) -> str:
    seen = [word for word in (evening.sky, evening.wind) if word in ("overcast", "broken", "windy")]
    if decision.dull_fitted:
        return f"The evening is {' and '.join(seen)}; if it clears up, it becomes colder than this."
    return (
        f"The evening is {' and '.join(seen)}: the estimate is for clear, calm nights, so it will most likely "
        "stay warmer than this."
    )


def _unknown(decision: FrostDecision) -> str | None:
    if not decision.unknown:
        return None
    return (
        f"No damage temperature is known here for {listed(list(decision.unknown))}: set a temperature of your own "
        "if it is tender."
    )


def why_not(facts: Facts, decision: FrostDecision) -> str:
    figure = f"{degrees(decision.min_c)} ({band(decision.low_c, decision.high_c)})"
    if not decision.clear and not decision.dull_fitted:
        return f"Not a clear, calm evening: the estimate for clear nights, {figure}, will most likely not be reached."
    basis = "" if decision.fitted_to_plot else " It is not fitted to your plot yet."
    if decision.p is None:
        return (
            f"Lowest in the open about {figure}; nothing that stands out is known to be hurt by frost.{basis}"
        )
    chance = f"the largest chance of harm is {percent(decision.p)}"
    least = (
        ""
        if decision.threshold is None
        else f", below the {percent(min(1.0, decision.threshold))} at which acting pays"
    )
    return sentences(f"Lowest in the open about {figure}; {chance}{least}.{basis}", _unknown(decision))


def no_evening(facts: Facts, night: Night) -> str:
    if night.reading_at is None:
        return "There is no sunset that day: no evening reading, and no estimate from one."
    at = night.reading_at.astimezone(zone_of(facts.plot.time_zone))
    return f"No evening reading in the open for {night_words(night)} yet; it is best taken at {at:%H:%M}."


def advice(facts: Facts, place_ids: Sequence[str | None]) -> str:
    """What is commonly done, for the places at risk; for all when none is named."""
    places = [facts.places.get(one or "") for one in place_ids]
    covered = [place is not None and place.covered for place in places]
    return sentences(
        _OPEN_ADVICE if not covered or not all(covered) else None,
        _COVERED_ADVICE if not covered or any(covered) else None,
    )


def past_headline(facts: Facts, night: Night, outcome: Outcome) -> str:
    hurt = _hurt(facts, outcome)
    if hurt:
        return f"Frost in {night_words(night)}: {degrees(outcome.low_c)} in the open; cold enough to hurt {hurt}."
    if outcome.touched:
        return f"Frost in {night_words(night)}: {degrees(outcome.low_c)} in the open."
    return f"It fell to {degrees(outcome.low_c)} in {night_words(night)}: your own temperature was met."


def _hurt(facts: Facts, outcome: Outcome) -> str:
    def at(place_id: str | None) -> str:
        return f" at {facts.label(place_id)}" if place_id else ""

    return listed([f"{one.crop.kind}{at(one.place_id)}" for one in outcome.touched if one.crop is not None])


def past_why(facts: Facts, outcome: Outcome) -> str:
    return sentences(
        "Read at the minimum thermometer; the night is over, so this is only noted.",
        _lows(facts, outcome.touched),
    )


def _lows(facts: Facts, touched: Iterable[Any]) -> str | None:
    said = [
        f"{one.crop.kind}: harm may start below {degrees(one.critical_c)}, it was {degrees(one.low_c)}."
        for one in touched
        if one.crop is not None
    ]
    return sentences(*said[:6]) or None
