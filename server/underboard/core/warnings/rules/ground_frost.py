"""May it freeze at the ground tonight, where seedlings stand?"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from underboard.core.agronomy.contract import COMMON_PRACTICE
from underboard.core.agronomy.frost.crop_damage import crop_damage
from underboard.core.agronomy.frost.frost_fit import ENOUGH_NIGHTS
from underboard.core.agronomy.frost.frost_tonight import FrostTonight, frost_tonight
from underboard.core.agronomy.judged.cost_loss import cost_loss
from underboard.core.warnings.facts import EveningFact, Facts
from underboard.core.warnings.frost_decision import LEVEL
from underboard.core.warnings.frost_learned import frost_learned
from underboard.core.warnings.frost_night import (
    Night,
    evening_of,
    grass_minima,
    lowest_of,
    night_date,
    night_on,
)
from underboard.core.warnings.frost_words import CAUTION, band, degrees, night_words
from underboard.core.warnings.rules import frost
from underboard.core.warnings.standing_crops import standing_crops
from underboard.core.warnings.terms import Due, Held, Rule, Said, chosen
from underboard.core.warnings.wording import percent, times

NAME: Final = "ground_frost"
GROUND_FROST_C: Final = 0.0
#: Air at 1.25 m from which grass can still freeze on a clear, calm night with dry air, and that dry air [°C]:
#: grass is commonly 2 to 4 °C colder (common practice, no source).
THUMB_AIR_C, THUMB_DEW_C = 4.0, 2.0


@dataclass(frozen=True)
class GrassLearned:
    """Grass less air on clear nights of this plot: mean and spread for a night to come [°C], nights."""

    mean_c: float
    spread_c: float
    n: int


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer for tonight's evening reading."""
    night = night_on(facts, night_date(facts, now))
    key = night.on.isoformat()
    evening = evening_of(facts, night.on, now)
    if evening is None or now >= night.end:
        yield Held(rule=NAME, key=key, why_not="There is no evening reading for the night ahead.")
        return
    if not evening.clear_calm:
        yield Held(
            rule=NAME, key=key, why_not="Not a clear, calm evening: the ground does not cool below the air."
        )
        return
    limit = _limit(facts, night)
    if limit is None:
        yield Held(
            rule=NAME, key=key, why_not="Nothing that stands in the open is known to be hurt by frost."
        )
        return
    fields = frost.evening_fields(evening)
    learned = grass_learned(facts)
    if learned is None:
        yield _by_thumb(facts, night, evening, fields, limit)
    else:
        yield _by_station(facts, settings, night, fields, limit, learned, now)


def grass_learned(facts: Facts) -> GrassLearned | None:
    """Return what paired minima of clear nights say; None with fewer than eight."""
    grass, air = grass_minima(facts), lowest_of(facts).get("", {})
    clear = {one.night for one in facts.evenings if one.clear_calm}
    found = [grass[night] - air[night] for night in sorted(grass) if night in air and night in clear]
    n = len(found)
    if n < ENOUGH_NIGHTS:
        return None
    mean = math.fsum(found) / n
    sd = math.sqrt(math.fsum((one - mean) ** 2 for one in found) / (n - 1))
    return GrassLearned(mean, sd * math.sqrt(1 + 1 / n), n)


def _limit(facts: Facts, night: Night) -> float | None:
    """The warmest damage temperature of what stands in the open; ground frost itself where no crop is recorded."""
    standing = standing_crops(facts, night.on)
    found = []
    for crop in standing:
        place = facts.places.get(crop.place_id or "")
        if place is None or not place.covered:
            critical = crop_damage(crop.kind, crop.stage, crop.hardened).critical_c
            found += [] if critical is None else [critical]
    return max(found) if found else None if facts.crops else GROUND_FROST_C


def _air(facts: Facts, fields: Mapping[str, Any], limit: float, offset_c: float, sd_c: float) -> FrostTonight:
    fit = frost_learned(facts)["frost_fit"]
    dew_c = fields["dew_c"]
    if dew_c is None:
        fit, dew_c = fit["without_dew"], fields["evening_c"]
    return frost_tonight(
        fields["evening_c"], dew_c, (limit,), fit=fit, offset_c=offset_c, offset_sd_c=sd_c, level=LEVEL
    )


def _by_station(
    facts: Facts,
    settings: Mapping[str, Any],
    night: Night,
    fields: Mapping[str, Any],
    limit: float,
    learned: GrassLearned,
    now: datetime,
) -> Said:
    told = _air(facts, fields, limit, learned.mean_c, learned.spread_c)
    p = told.chances[0].p or 0.0
    low_c = told.min_c if told.low_c is None else told.low_c
    high_c = told.min_c if told.high_c is None else told.high_c
    weighed = cost_loss(p, settings["cost"], settings["loss"])
    figure = f"{degrees(told.min_c)} ({band(low_c, high_c)})"
    numbers = {
        "night": night.on.isoformat(),
        "min_c": told.min_c,
        "low_c": low_c,
        "high_c": high_c,
        "level": LEVEL,
        "critical_c": limit,
        "p": p,
        "threshold": weighed.threshold,
        "difference_c": learned.mean_c,
        "n_nights": learned.n,
    }
    if not weighed.act:
        why = f"At the ground about {figure}; chance of harm {percent(p)}."
        return Held(rule=NAME, key=night.on.isoformat(), why_not=why, numbers=numbers)
    headline = (
        f"Ground frost in {night_words(night)}: about {figure} at the grass, chance of harm {percent(p)}."
    )
    why = (
        f"On {times(learned.n, 'clear night')} of this plot the grass was {degrees(-learned.mean_c)} colder than the "
        f"air; what is most tender in the open may be hurt below {degrees(limit)}."
    )
    return _due(facts, night, headline, why, numbers, now)


def _by_thumb(
    facts: Facts, night: Night, evening: EveningFact, fields: Mapping[str, Any], limit: float
) -> Said:
    told = _air(facts, fields, limit, 0.0, 0.0)
    numbers = {"night": night.on.isoformat(), "air_min_c": told.min_c, "critical_c": limit, "p": None}
    dew_c = fields["dew_c"]
    if limit < GROUND_FROST_C or told.min_c > THUMB_AIR_C or dew_c is None or dew_c >= THUMB_DEW_C:
        why = (
            "No grass thermometer has been learned from, and the rule of thumb (air down to "
            f"{degrees(THUMB_AIR_C)}, dew point below {degrees(THUMB_DEW_C)}, tender crops) is not met."
        )
        return Held(rule=NAME, key=night.on.isoformat(), why_not=why, numbers=numbers)
    air = degrees(told.min_c)
    headline = f"The ground may freeze in {night_words(night)}: air down to about {air} on a clear night."
    why = (
        f"A rule of thumb ({COMMON_PRACTICE}): on a clear, calm night grass is commonly 2 to 4 °C colder than the air. "
        f"A thermometer at the grass, read on {ENOUGH_NIGHTS} clear nights, would tell how it is here."
    )
    return _due(facts, night, headline, why, numbers, evening.at)


def _due(
    facts: Facts, night: Night, headline: str, why: str, numbers: Mapping[str, Any], now: datetime
) -> Due:
    watch = facts.watches.get(frost.NAME)
    decision = frost.decided(facts, chosen(frost.RULE, watch.settings if watch else None), night, now)
    return Due(
        rule=NAME,
        key=night.on.isoformat(),
        window_start=night.start,
        window_end=night.end,
        severity="Minor",
        urgency="Expected",
        certainty="Possible",
        headline=headline,
        why=why,
        advice="Commonly done: fleece over seedlings and low, tender plants before dark, soil over potato shoots.",
        caution=CAUTION,
        numbers=numbers,
        # The warning of frost in the air says more; one message a night is enough.
        loud=numbers["p"] is not None and not (decision is not None and decision.fires),
    )


RULE = Rule(
    name=NAME,
    title="Ground frost",
    question="May it freeze at the ground tonight?",
    group="tonight",
    source=f"grass less air, learned on this plot; before that a rule of thumb ({COMMON_PRACTICE})",
    run=run,
    settings=(frost.COST, frost.LOSS),
)
