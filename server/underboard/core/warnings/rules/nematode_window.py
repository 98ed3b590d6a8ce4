"""Is this the time to water in nematodes, when again, and are the last ones still at work?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final

from underboard.core.agronomy.nematodes.application_check import (
    ACTIVE_DAYS,
    COLDEST_C,
    FIRST_MONTH,
    LAST_MONTH,
    application_check,
)
from underboard.core.warnings.facts import Facts, TreatmentFact
from underboard.core.warnings.plot_time import DAY, at_clock, end_of, today_of
from underboard.core.warnings.soil_seen import newest_soil
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words, listed, sentences

NAME = "nematode_window"
_KINDS: Final = ("nematodes", "brew")
#: A surface noted in a round of the last days says how moist the soil is.
MOIST_DAYS: Final = 3
#: Soil read within so many days stands for the soil now: it moves slowly (common practice, no source).
SOIL_DAYS: Final = 10
_CAUTION: Final = (
    "Water in at dusk or on a dull day, at once, on moist soil, and keep it moist for two weeks; keep 3 m from ponds; "
    "follow the label. Gloves; wash hands; children and dogs away until it has soaked in. A home brew is "
    "unidentified and unproven: keep an untreated control, do not move or sell it, keep it off leaves to be eaten; "
    "releasing animals that are not native needs a licence (England and Wales)."
)


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer the first window of the year, and the day from which treated places are due again."""
    today = today_of(facts, now)
    applied = [one for one in facts.treatments if one.kind in _KINDS and one.at <= now]
    if not applied and not settings["offer"]:
        yield Held(
            rule=NAME,
            why_not="No nematodes have been used here; switch on the offer to be told of the window.",
        )
        return
    latest = _latest(applied)
    groups: dict[date, list[str]] = defaultdict(list)
    for place_id, on in latest.items():
        groups[on].append(place_id)
    told = False
    for on, places in sorted(groups.items()):
        again_on = on + ACTIVE_DAYS * DAY
        if today < again_on:
            told = True
            yield _active(facts, on, again_on, places)
        elif today < again_on + settings["again_days"] * DAY:
            told = True
            yield _answer(facts, f"again:{on.isoformat()}", places, (on, again_on), settings, now)
    if not told and not any(on.year == today.year for on in latest.values()):
        places = sorted(latest) or [one.id for one in facts.places.values() if not one.covered]
        yield _answer(facts, f"spring:{today.year}", places, None, settings, now)
    elif not told:
        yield Held(rule=NAME, why_not="The places treated this year were due again, and that has been told.")


def _latest(applied: Sequence[TreatmentFact]) -> dict[str, date]:
    """The newest application at each place."""
    found: dict[str, date] = {}
    for one in applied:
        for place_id in one.place_ids or ("",):
            found[place_id] = max(one.day, found.get(place_id, one.day))
    return found


def _active(facts: Facts, on: date, again_on: date, places: Sequence[str]) -> Held:
    where = listed(sorted(facts.label(place) for place in places))
    return Held(
        rule=NAME,
        key=f"again:{on.isoformat()}",
        why_not=f"{where}: those of {day_words(on)} are at work until {day_words(again_on)}; no more is needed.",
        numbers={"applied_on": on.isoformat(), "active_until": again_on.isoformat()},
    )


def _answer(
    facts: Facts,
    key: str,
    places: Sequence[str],
    applied: tuple[date, date] | None,
    settings: Mapping[str, Any],
    now: datetime,
) -> Due | Held:
    today = today_of(facts, now)
    soil = newest_soil(facts, places, now, SOIL_DAYS)
    if soil is None:
        said = f"No soil thermometer was read in the last {SOIL_DAYS} days; they need {COLDEST_C:.0f} °C."
        return Held(rule=NAME, key=key, why_not=said)
    moisture = _moisture(facts, today, now)
    known = [facts.places[one] for one in places if one in facts.places]
    covered = bool(known) and all(one.covered for one in known)
    checked = application_check(
        round(soil.mean_c, 1), moisture or "damp", under_cover=covered, month=today.month
    )
    if checked.verdict != "go":
        return Held(rule=NAME, key=key, why_not=" ".join(checked.reasons))
    if applied is not None:
        begins, ends = applied[1], applied[1] + settings["again_days"] * DAY
    else:
        begins, ends = date(today.year, FIRST_MONTH, 1), date(today.year, LAST_MONTH, 31)
    return _due(facts, key, places, applied, (begins, ends), round(soil.mean_c), moisture)


def _moisture(facts: Facts, today: date, now: datetime) -> str | None:
    """The surface as the newest round of the last days says; None when nobody looked."""
    for one in reversed(facts.rounds):
        if one.at <= now and one.surface and (today - one.day).days <= MOIST_DAYS:
            return one.surface
    return None


def _due(
    facts: Facts,
    key: str,
    places: Sequence[str],
    applied: tuple[date, date] | None,
    window: tuple[date, date],
    soil_c: int,
    moisture: str | None,
) -> Due:
    where = listed(sorted(facts.label(place) for place in places if place)) or "the plot"
    if applied is None:
        headline = f"Nematodes can be watered in: the soil is at about {soil_c} °C, and none are at work."
        why = f"They need {COLDEST_C:.0f} to 20 °C in moist soil, outdoors from March to October (suppliers' leaflets)."
    else:
        headline = (
            f"{where}: what was watered in on {day_words(applied[0])} is spent since {day_words(applied[1])}; "
            f"a new dose may go on, the soil is at about {soil_c} °C."
        )
        why = f"One application lasts about {ACTIVE_DAYS} days (suppliers' leaflets)."
    seen = (
        f"The surface was {moisture} when last looked at."
        if moisture
        else "Nobody noted how moist the soil is."
    )
    return Due(
        rule=NAME,
        key=key,
        window_start=at_clock(facts, window[0]),
        window_end=end_of(facts, window[1]),
        severity="Minor",
        urgency="Expected",
        certainty="Likely" if moisture else "Possible",
        headline=headline,
        why=sentences(why, seen),
        advice="Commonly 300,000 to the square metre, again after six weeks; leave some boards untreated to compare.",
        caution=_CAUTION,
        numbers={
            "soil_c_about": soil_c,
            "moisture": moisture,
            "applied_on": applied[0].isoformat() if applied else None,
            "spent_on": applied[1].isoformat() if applied else None,
        },
        place_ids=tuple(sorted(place for place in places if place)) if applied else (),
    )


RULE = Rule(
    name=NAME,
    title="Nematode window",
    question="Is this the time to water in nematodes, and when again?",
    group="ground",
    source="UK suppliers' leaflets on slug nematodes (5 to 20 °C, March to October, 6 weeks, 3 m from ponds)",
    run=run,
    settings=(
        Setting(
            name="offer",
            kind="yes_no",
            default=False,
            doc="Tell of the window even if no nematodes have been used here.",
        ),
        Setting(
            name="again_days",
            kind="whole",
            default=21,
            unit="days",
            low=7,
            high=60,
            doc="How long it is told that a place is due again (common practice, no source).",
        ),
    ),
)
