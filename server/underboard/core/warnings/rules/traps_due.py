"""Which traps are due to be lifted?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from underboard.core.records.derived import TRAP_DAYS, TRAP_SOIL_C
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.plot_time import DAY, at_clock, end_of, today_of
from underboard.core.warnings.soil_seen import newest_soil
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.traps_seen import InGround, in_ground
from underboard.core.warnings.wording import day_words, listed, sentences, times

NAME = "traps_due"


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer the traps of each day of setting, from the first day on which they may be lifted to the last."""
    today = today_of(facts, now)
    by_day: dict[tuple[str, date], list[InGround]] = defaultdict(list)
    for one in in_ground(facts, now):
        by_day[one.kind, one.set_on].append(one)
    if not by_day:
        yield Held(rule=NAME, why_not="No trap lies in the ground.")
    for (kind, set_on), traps in sorted(by_day.items()):
        first, last = _days(kind, set_on, settings)
        many = times(len(traps), "bait trap" if kind == "bait_trap" else "beetle trap")
        if today < first:
            said = f"{many} set on {day_words(set_on)}: due from {day_words(first)}."
            yield Held(rule=NAME, key=f"{kind}:{set_on.isoformat()}", why_not=said)
        elif today > last:
            said = f"{many} set on {day_words(set_on)}: past due since {day_words(last)}."
            yield Held(rule=NAME, key=f"{kind}:{set_on.isoformat()}", why_not=said)
        else:
            yield _due(facts, kind, set_on, traps, (first, last), now)


def _days(kind: str, set_on: date, settings: Mapping[str, Any]) -> tuple[date, date]:
    if kind == "beetle_trap":
        return set_on + settings["beetle_days"] * DAY, set_on + 2 * settings["beetle_days"] * DAY
    return set_on + settings["first_day"] * DAY, set_on + int(TRAP_DAYS[1]) * DAY


def _due(
    facts: Facts, kind: str, set_on: date, traps: Sequence[InGround], days: tuple[date, date], now: datetime
) -> Due:
    places = sorted({one.place_id for one in traps if one.place_id})
    where = listed(sorted(facts.label(place) for place in places), 6)
    bait = kind == "bait_trap"
    many = times(len(traps), "bait trap" if bait else "beetle trap")
    return Due(
        rule=NAME,
        key=f"{kind}:{set_on.isoformat()}",
        window_start=at_clock(facts, days[0]),
        window_end=end_of(facts, days[1]),
        severity="Minor",
        urgency="Expected",
        certainty="Observed",
        headline=f"{many} set on {day_words(set_on)} at {where or 'the plot'}: lift by {day_words(days[1])}.",
        why=sentences(
            f"A bait trap speaks for its bed when it lay {TRAP_DAYS[0]:.0f} to {TRAP_DAYS[1]:.0f} days in soil above "
            f"{TRAP_SOIL_C:.0f} °C (Farm Advisory Service 2025; Furlan 2014)."
            if bait
            else "Beetle traps are read once a week (ADAS and AHDB advice, 2001 to 2011).",
            _soil_words(facts, places, now) if bait else None,
        ),
        advice=(
            "Search the bait and the soil around it, count wireworms apart from millipedes, leatherjackets and "
            "centipedes, write down the soil temperature, and bait anew if more traps are wanted."
            if bait
            else "Count the beetles, empty the trap and set it again; change the lure as its label says."
        ),
        caution="Gloves; wash hands. A trap with nothing in it does not show that the bed has none.",
        numbers={
            "traps": len(traps),
            "set_on": set_on.isoformat(),
            "first_on": days[0].isoformat(),
            "last_on": days[1].isoformat(),
        },
        place_ids=tuple(places),
        station_ids=tuple(one.station_id for one in traps),
    )


def _soil_words(facts: Facts, places: Sequence[str], now: datetime) -> str:
    soil = newest_soil(facts, places, now)
    if soil is None:
        return "There is no fresh reading of a soil thermometer: measure before you lift."
    if soil.mean_c <= TRAP_SOIL_C:
        return (
            f"The soil at {facts.label(soil.place_id)} was last not above {TRAP_SOIL_C:.0f} °C: a catch lifted now "
            "would not count."
        )
    return f"The soil at {facts.label(soil.place_id)} was last above {TRAP_SOIL_C:.0f} °C, as it has to be."


RULE = Rule(
    name=NAME,
    title="Trap due",
    question="Which traps are due to be lifted?",
    group="work",
    source="Farm Advisory Service (SAC Consulting), project PHC2024/04, April 2025; Furlan 2014, J. Pest Sci. 87:609",
    run=run,
    settings=(
        Setting(
            name="first_day",
            kind="whole",
            default=10,
            unit="days",
            low=7,
            high=14,
            doc="Days in the ground from which a bait trap is due (10 to 14, Farm Advisory Service 2025).",
        ),
        Setting(
            name="beetle_days",
            kind="whole",
            default=7,
            unit="days",
            low=2,
            high=30,
            doc="Days between readings of a beetle trap (weekly, ADAS and AHDB advice 2001 to 2011).",
        ),
    ),
)
