"""Frost over past nights: of a plot, and of a table of nights from elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta
from typing import Any, Final, NamedTuple

from underboard.core.agronomy.frost.frost_fit import ENOUGH_NIGHTS, frost_fit
from underboard.core.warnings.facts import EveningFact, Facts, NightFact
from underboard.core.warnings.frost_decision import AIR_FROST_C, FrostDecision, frost_decision
from underboard.core.warnings.frost_learned import dull_fit, fit_of_nights
from underboard.core.warnings.frost_night import lowest_of, night_on, seen_times
from underboard.core.warnings.frost_outcome import outcome_of
from underboard.core.warnings.replay import Call, Replayed, facts_at
from underboard.core.warnings.rules import frost
from underboard.core.warnings.scoring import answers_of

PUBLISHED: Final = "FAO two steps (2005): the fit of the earlier nights alone, warn when the minimum is below"
EVENT: Final = "a minimum below the damage temperature of something that stood there, or the own temperature"
_AFTER: Final = timedelta(seconds=1)


class PublicNight(NamedTuple):
    """A night elsewhere: air and dew point two hours after sunset, lowest after that [°C], whether it was clear."""

    evening_c: float
    dew_c: float
    min_c: float
    clear: bool


def replay_frost(facts: Facts, settings: Mapping[str, Any], first: date, last: date) -> Replayed:
    """Ask the rule again on each evening that was read between two dates (of the evening)."""
    lowest = lowest_of(facts)
    said = {one.key: answers_of(facts).get(one.id) for one in facts.standing if one.rule == frost.NAME}
    by_night: dict[date, list[EveningFact]] = {}
    for one in facts.evenings:
        if first <= one.night <= last:
            by_night.setdefault(one.night, []).append(one)
    calls = []
    for night, evenings in sorted(by_night.items()):
        outcome = outcome_of(facts, night, lowest, settings["at_c"])
        if outcome is None:
            continue
        answer = said.get(night.isoformat())
        came = outcome.came if answer is None else answer == "happened"
        call = _call(facts, settings, night, evenings, came)
        calls += [call] if call is not None else []
    unread = 0
    for night in lowest.get("", ()):
        if first <= night <= last and night not in by_night:
            outcome = outcome_of(facts, night, lowest, settings["at_c"])
            unread += outcome is not None and outcome.came
    return Replayed(frost.NAME, tuple(calls), PUBLISHED, EVENT, unread=unread)


def _call(
    facts: Facts, settings: Mapping[str, Any], night: date, evenings: Sequence[EveningFact], came: bool
) -> Call | None:
    """One night, decided at each evening reading and at each reading since; the last word counts."""
    when = night_on(facts, night)
    times = sorted({one.at for one in evenings} | set(seen_times(facts, when, evenings[0].at)))
    first_warned: datetime | None = None
    decision: FrostDecision | None = None
    known = facts
    for at in times:
        if at >= when.end:
            break
        known = facts_at(facts, at + _AFTER)
        decision = frost.decided(known, settings, when, at + _AFTER)
        fires = decision is not None and decision.fires
        first_warned = (first_warned or at) if fires else None
    if decision is None or (decision.p is None and settings["at_c"] is None):
        return None
    lead = (
        None if first_warned is None else ((when.sunrise or when.end) - first_warned).total_seconds() / 3600
    )
    limits = [c.critical_c for place in decision.places for c in place.crops if c.critical_c is not None]
    limit = max([*limits, *([settings["at_c"]] if settings["at_c"] is not None else [])])
    published = _two_steps(known.nights, evenings[-1].air_c, evenings[-1].dew_c, limit)
    p = decision.p if decision.p is not None else float(decision.fires)
    return Call(
        night.isoformat(),
        decision.fires,
        came,
        published,
        p if _speaks(decision) else 0.0,
        lead,
    )


def _speaks(decision: FrostDecision) -> bool:
    """Whether its chances are meant for such a night at all."""
    return decision.clear or decision.dull_fitted or decision.already


def _two_steps(nights: Sequence[NightFact], evening_c: float, dew_c: float | None, limit_c: float) -> bool:
    """The published method: the two-step line through the earlier nights, with no spread and no offset."""
    if dew_c is None or not nights:
        return False
    rows = [{"evening_c": one.evening_c, "dew_c": one.dew_c, "min_c": one.min_c} for one in nights]
    fit = frost_fit(rows, "two_step")
    if fit.intercept is None or fit.evening_coef is None or fit.dew_coef is None:
        return False
    return fit.intercept + fit.evening_coef * evening_c + fit.dew_coef * dew_c < limit_c


def replay_public_frost(
    nights: Iterable[PublicNight], cost: float, loss: float, *, all_nights: bool = False
) -> Replayed:
    """Frost of the air (0 °C) over a table of nights in order, each foretold from the earlier clear ones.

    Judged from the ninth clear night on, since the first eight rest on nights of these very stations. With
    `all_nights` cloudy and windy ones are judged too, foretold from the earlier cloudy and windy ones.
    """
    known: list[NightFact] = []
    dull: list[tuple[float, float]] = []
    calls = []
    settings = {"cost": cost, "loss": loss, "at_c": None}
    for i, night in enumerate(nights):
        if len(known) >= ENOUGH_NIGHTS and (night.clear or all_nights):
            learned = {"frost_fit": {**fit_of_nights(tuple(known)), "dull": dict(dull_fit(tuple(dull)))}}
            sky = "clear" if night.clear else "overcast"
            evening = {"evening_c": night.evening_c, "dew_c": night.dew_c, "sky": sky}
            decision = frost_decision(learned, evening, [], settings)
            published = _two_steps(known, night.evening_c, night.dew_c, AIR_FROST_C)
            p = decision.p if decision.p is not None and _speaks(decision) else 0.0
            calls.append(Call(str(i), decision.fires, night.min_c < AIR_FROST_C, published, p))
        if night.clear:
            known.append(NightFact(date.min + timedelta(days=i), night.evening_c, night.dew_c, night.min_c))
        else:
            dull.append((night.evening_c, night.min_c))
    says = ("No hours are kept in these tables, so there is no lead time.",)
    return Replayed(frost.NAME, tuple(calls), PUBLISHED, "a lowest air temperature below 0 °C", says)
