"""May frost hurt something tonight?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any, Final

from underboard.core.warnings import frost_words as words
from underboard.core.warnings.facts import EveningFact, Facts
from underboard.core.warnings.frost_decision import FrostDecision, frost_decision
from underboard.core.warnings.frost_learned import frost_learned
from underboard.core.warnings.frost_night import (
    Night,
    evening_of,
    lowest_of,
    night_date,
    night_on,
    open_air,
    seen_in,
)
from underboard.core.warnings.frost_outcome import Outcome, outcome_of
from underboard.core.warnings.plot_time import DAY
from underboard.core.warnings.standing_crops import standing_crops
from underboard.core.warnings.terms import Certainty, Due, Held, Rule, Said, Setting, Severity

NAME: Final = "frost"
#: So many nights back a frost that came is noted, for readings that arrive late.
NOTED_FOR: Final = 7
#: Above this chance harm is likely (CAP 1.2: "Likely" is more than an even chance).
EVEN: Final = 0.5


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer for tonight, and note frosts of the last nights that were read since."""
    tonight = night_on(facts, night_date(facts, now))
    if now < tonight.end:
        yield _tonight(facts, settings, tonight, now)
    else:
        yield Held(rule=NAME, why_not="The night is over and the next evening has not been read yet.")
    yield from _past(facts, settings, tonight, now)


def decided(facts: Facts, settings: Mapping[str, Any], night: Night, now: datetime) -> FrostDecision | None:
    """Return what the newest evening reading says of a night; None when there is none."""
    evening = evening_of(facts, night.on, now)
    if evening is None:
        return None
    crops = [
        {
            "crop_id": one.crop_id,
            "kind": one.kind,
            "place_id": one.place_id,
            "stage": one.stage,
            "hardened": one.hardened,
        }
        for one in standing_crops(facts, night.on)
    ]
    seen = seen_in(facts, night, evening, now)
    return frost_decision(
        frost_learned(facts), evening_fields(evening), crops, settings, seen, not facts.crops
    )


def evening_fields(evening: EveningFact) -> dict[str, Any]:
    """Return an evening reading as the decision takes it; a dew point above the air is not one."""
    dew_c = evening.dew_c
    return {
        "evening_c": evening.air_c,
        "dew_c": None if dew_c is None or dew_c > evening.air_c else dew_c,
        "sky": evening.sky,
        "wind": evening.wind,
    }


def _tonight(facts: Facts, settings: Mapping[str, Any], night: Night, now: datetime) -> Said:
    evening = evening_of(facts, night.on, now)
    decision = decided(facts, settings, night, now)
    key = night.on.isoformat()
    if evening is None or decision is None:
        return Held(rule=NAME, key=key, why_not=words.no_evening(facts, night))
    numbers = numbers_of(facts, decision, settings, night, evening, now)
    if not decision.fires:
        return Held(rule=NAME, key=key, why_not=words.why_not(facts, decision), numbers=numbers)
    severity, certainty = _how_bad(decision)
    touched = words.at_risk(decision, settings)
    return Due(
        rule=NAME,
        key=key,
        window_start=night.start,
        window_end=night.end,
        severity=severity,
        urgency="Expected",
        certainty=certainty,
        headline=words.headline(facts, decision, settings, night),
        why=words.why(facts, decision, settings, evening, night, now),
        advice=words.advice(facts, [place.place_id for place, _ in touched]),
        caution=words.CAUTION,
        numbers=numbers,
        place_ids=tuple(sorted({place.place_id for place, _ in touched if place.place_id})),
        crop_ids=tuple(sorted({crop.crop_id for _, crop in touched if crop.crop_id})),
        station_ids=tuple(one for one in (open_air(facts),) if one),
    )


def _how_bad(decision: FrostDecision) -> tuple[Severity, Certainty]:
    if decision.already:
        return "Severe", "Observed"
    if (decision.clear or decision.dull_fitted) and (decision.p or 0.0) > EVEN:
        return "Severe", "Likely"
    return "Moderate", "Possible"


def numbers_of(
    facts: Facts,
    decision: FrostDecision,
    settings: Mapping[str, Any],
    night: Night,
    evening: EveningFact,
    now: datetime,
) -> dict[str, Any]:
    """Return the figures as JSON: what phones draw and reckon with. Nothing in it moves with the clock alone."""
    fields = evening_fields(evening)
    return {
        "night": night.on.isoformat(),
        "min_c": decision.min_c,
        "low_c": decision.low_c,
        "high_c": decision.high_c,
        "level": decision.level,
        "evening_c": fields["evening_c"],
        "dew_c": fields["dew_c"],
        "evening_at": evening.at.isoformat(),
        "fitted_to_plot": decision.fitted_to_plot,
        "method": decision.method,
        "n_nights": decision.n_nights,
        "clear": decision.clear,
        "dull_fitted": decision.dull_fitted,
        "already": decision.already,
        "p": decision.p,
        "threshold": decision.threshold,
        "at_c": settings["at_c"],
        "seen_c": seen_in(facts, night, evening, now),
        "sunset": None if night.sunset is None else night.sunset.isoformat(),
        "sunrise": None if night.sunrise is None else night.sunrise.isoformat(),
        "night_hours": night.hours,
        "places": [
            {
                "place_id": place.place_id,
                "min_c": place.min_c,
                "low_c": place.low_c,
                "high_c": place.high_c,
                "offset_c": place.offset_c,
                "crops": [dict(vars(crop)) for crop in place.crops],
            }
            for place in decision.places
        ],
    }


def _past(facts: Facts, settings: Mapping[str, Any], tonight: Night, now: datetime) -> Iterator[Said]:
    lowest = lowest_of(facts, tonight.on - NOTED_FOR * DAY)
    for back in range(NOTED_FOR):
        on = tonight.on - back * DAY
        outcome = outcome_of(facts, on, lowest, settings["at_c"])
        if outcome is not None and outcome.came and now >= (night := night_on(facts, on)).end:
            yield _noted(facts, night, outcome)


def _noted(facts: Facts, night: Night, outcome: Outcome) -> Due:
    key = night.on.isoformat()
    before = next((one.numbers for one in facts.standing if one.rule == NAME and one.key == key), {})
    places = {one.place_id for one in outcome.touched if one.place_id}
    crops = {one.crop.crop_id for one in outcome.touched if one.crop is not None}
    return Due(
        rule=NAME,
        key=key,
        window_start=night.start,
        window_end=night.end,
        severity="Moderate",
        urgency="Past",
        certainty="Observed",
        headline=words.past_headline(facts, night, outcome),
        why=words.past_why(facts, outcome),
        advice=words.PAST_ADVICE,
        caution="",
        numbers={**before, "night": key, "observed_c": outcome.low_c},
        place_ids=tuple(sorted(places)),
        crop_ids=tuple(sorted(crops)),
        station_ids=tuple(one for one in (open_air(facts),) if one),
        loud=False,
    )


COST = Setting(
    name="cost",
    kind="number",
    default=4.0,
    low=0,
    high=1e6,
    doc="What covering costs each time, in minutes or money (common practice, no source).",
)
LOSS = Setting(
    name="loss",
    kind="number",
    default=60.0,
    low=0,
    high=1e6,
    doc="What the harm costs if nothing is done, in the same unit (common practice, no source).",
)

RULE = Rule(
    name=NAME,
    title="Frost tonight",
    question="May frost hurt something tonight?",
    group="tonight",
    source="Snyder & de Melo-Abreu 2005, Frost protection, vol. 1, ch. 5, FAO; Murphy 1977 (cost and loss)",
    run=run,
    settings=(
        COST,
        LOSS,
        Setting(
            name="at_c",
            kind="number",
            unit="°C",
            low=-20,
            high=15,
            doc="Warn whenever it may fall to this temperature or lower, whatever stands; empty for not at all.",
        ),
    ),
    wake=True,
)
