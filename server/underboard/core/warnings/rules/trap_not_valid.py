"""Which traps do not count, and why?"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from underboard.core.records.derived import TRAP_DAYS
from underboard.core.warnings.facts import CatchFact, Facts
from underboard.core.warnings.plot_time import DAY, at_clock, day_of, end_of, today_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.traps_seen import InGround, flaw_words, in_ground, lifted_traps, place_of
from underboard.core.warnings.wording import day_words, listed, sentences, times

NAME = "trap_not_valid"
#: A trap that lies longer than this is forgotten; nobody is reminded for ever.
FORGOTTEN_DAYS = 60


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer traps that have lain too long, and lifted ones that cannot speak for their bed."""
    today = today_of(facts, now)
    found = False
    late: dict[date, list[InGround]] = defaultdict(list)
    for trap in in_ground(facts, now):
        age = (today - trap.set_on).days
        if trap.kind == "bait_trap" and TRAP_DAYS[1] < age <= FORGOTTEN_DAYS:
            late[trap.set_on].append(trap)
    for set_on, traps in sorted(late.items()):
        found = True
        yield _too_long(facts, set_on, traps)
    lifted: dict[date, list[CatchFact]] = defaultdict(list)
    for one in lifted_traps(facts, today - settings["days"] * DAY, now):
        if one.lifted_at is not None:
            lifted[day_of(facts, one.lifted_at)].append(one)
    for on, catches in sorted(lifted.items()):
        flawed = [one for one in catches if one.valid is not True]
        if flawed:
            found = True
            yield _flawed(facts, on, flawed, len(catches), settings["days"])
    if not found:
        yield Held(rule=NAME, why_not="Every trap lifted of late counts, and none has lain too long.")


def _too_long(facts: Facts, set_on: date, traps: Sequence[InGround]) -> Due:
    places = sorted({one.place_id for one in traps if one.place_id})
    where = listed(sorted(facts.label(place) for place in places), 6) or "the plot"
    last = set_on + int(TRAP_DAYS[1]) * DAY
    return Due(
        rule=NAME,
        key=f"long:{set_on.isoformat()}",
        window_start=end_of(facts, last),
        window_end=end_of(facts, set_on + FORGOTTEN_DAYS * DAY),
        severity="Minor",
        urgency="Past",
        certainty="Observed",
        headline=(
            f"{times(len(traps), 'bait trap')} at {where} should have been lifted by {day_words(last)} "
            f"and will not count."
        ),
        why=(
            f"Set on {day_words(set_on)}. After {TRAP_DAYS[1]:.0f} days the bait is spent or sprouts, larvae leave it, "
            "and few are found where many are."
        ),
        advice="Lift them, and set fresh bait when the soil is above 8 °C, moist and bare.",
        caution="A low catch now says nothing in favour of the bed.",
        numbers={"traps": len(traps), "set_on": set_on.isoformat(), "last_on": last.isoformat()},
        place_ids=tuple(places),
        station_ids=tuple(one.station_id for one in traps),
    )


def _flawed(facts: Facts, on: date, flawed: Sequence[CatchFact], n: int, days: int) -> Due:
    unknown = [one for one in flawed if one.valid is None]
    flaws = sorted({flaw for one in flawed for flaw in one.flaws})
    places = sorted({place for one in flawed if (place := place_of(facts, one))})
    cannot = "cannot be judged" if len(unknown) == len(flawed) else "do not count"
    if len(flawed) == 1:
        cannot = cannot.replace("do not", "does not")
    return Due(
        rule=NAME,
        key=f"lifted:{on.isoformat()}",
        window_start=at_clock(facts, on),
        window_end=end_of(facts, on + days * DAY),
        severity="Minor",
        urgency="Past",
        certainty="Observed",
        headline=f"{len(flawed)} of {times(n, 'bait trap')} lifted on {day_words(on)} {cannot}: {flaw_words(flaws)}.",
        why=sentences(
            f"At {listed(sorted(facts.label(place) for place in places))}." if places else None,
            "In cold soil wireworms lie deep and do not come to bait; a trap lifted early or late catches fewer "
            "(Furlan 2014; Farm Advisory Service 2025).",
        ),
        advice="Bait anew when the soil at 10 cm stays above 8 °C, moist and bare, and lift after 10 to 14 days.",
        caution="Nothing in a trap that does not count is no result at all. A find in one still is a find.",
        numbers={
            "traps": n,
            "not_valid": len(flawed) - len(unknown),
            "unknown": len(unknown),
            "flaws": flaws,
            "lifted_on": on.isoformat(),
        },
        place_ids=tuple(places),
        station_ids=tuple(sorted({one.station_id for one in flawed})),
        loud=False,
    )


RULE = Rule(
    name=NAME,
    title="Trap not valid",
    question="Which traps do not count, and why?",
    group="work",
    source="Farm Advisory Service (SAC Consulting), project PHC2024/04, April 2025; Furlan 2014, J. Pest Sci. 87:609",
    run=run,
    settings=(
        Setting(
            name="days",
            kind="whole",
            default=14,
            unit="days",
            low=1,
            high=60,
            doc="How long after lifting a trap that does not count stays in view (common practice, no source).",
        ),
    ),
)
