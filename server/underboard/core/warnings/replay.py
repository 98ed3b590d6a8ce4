"""How would a rule have done over past seasons? Its calls held against what came, beside doing without it.

A rule is asked again at each time at which it could have warned, with the facts as they were then
(`facts_at`): what was read, planted or learned later is left out. Records that were corrected later come as
they are now, for the facts do not carry their history.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Final

from underboard.core.agronomy.judged.brier import brier
from underboard.core.agronomy.judged.verify import verify
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.frost_night import night_date
from underboard.core.warnings.plot_time import day_of

USUAL_COST, USUAL_LOSS = 4.0, 60.0


@dataclass(frozen=True, slots=True)
class Call:
    """One time at which the rule was asked.

    Attributes
    ----------
    key
        What it was about: a night, a round.
    warned, came, published
        Whether the rule warned, whether it came, whether the published method would have warned.
    p
        The chance the rule gave [0 to 1]; 1 or 0 where it only says yes or no.
    lead_h
        Hours from the first warning to when it came; None when there was none.
    """

    key: str
    warned: bool
    came: bool
    published: bool
    p: float
    lead_h: float | None = None


@dataclass(frozen=True, slots=True)
class Replayed:
    """All calls of a replay. `published` names the method they stand beside, `says` what to know about them."""

    rule: str
    calls: tuple[Call, ...]
    published: str
    event: str
    says: tuple[str, ...] = ()
    unread: int = 0
    """Times it came when the rule could not be asked (no evening reading); counted nowhere else."""


def facts_at(facts: Facts, now: datetime) -> Facts:
    """Return what was known at a time. Warnings and answers are left out: they are what is judged."""
    night, today = night_date(facts, now), day_of(facts, now)
    return replace(
        facts,
        evenings=_until(facts.evenings, lambda one: one.at, now),
        readings=_until(facts.readings, lambda one: one.at, now),
        rounds=_until(facts.rounds, lambda one: one.at, now),
        catches=tuple(one for one in facts.catches if (one.set_at or one.lifted_at or now) <= now),
        samples=_until(facts.samples, lambda one: one.at, now),
        treatments=_until(facts.treatments, lambda one: one.at, now),
        crops=tuple(
            replace(
                one,
                ended_on=one.ended_on if one.ended_on is not None and one.ended_on <= today else None,
                events=tuple(event for event in one.events if event[0] <= today),
            )
            for one in facts.crops
            if _begun(one.started_on, one.events, today)
        ),
        # The minimum of a night is read in the morning after it.
        nights=facts.nights[: bisect_left([one.night for one in facts.nights], night)],
        pairs={
            place: pairs[: bisect_left([one.night for one in pairs], night)]
            for place, pairs in facts.pairs.items()
        },
        standing=(),
        replies=(),
    )


def _begun(started_on: date | None, events: Sequence[tuple[Any, ...]], today: date) -> bool:
    first = min([started_on] * (started_on is not None) + [event[0] for event in events], default=None)
    return first is None or first <= today


def _until(found: tuple[Any, ...], at: Callable[[Any], datetime], now: datetime) -> tuple[Any, ...]:
    """The part of a tuple in order of time that lies before now."""
    return found[: bisect_right(found, now, key=at)]


def answer_of(replayed: Replayed, cost: float = USUAL_COST, loss: float = USUAL_LOSS) -> dict[str, Any]:
    """Return the scores as JSON: of the rule, of its chances, and of always, never and the published method.

    `cost` is spent on each warning, `loss` on each time that came unwarned; both in one unit.
    """
    calls = replayed.calls
    table = _table([one.warned for one in calls], calls, cost, loss)
    chances = brier([one.p for one in calls], [int(one.came) for one in calls])
    leads = [one.lead_h for one in calls if one.warned and one.came and one.lead_h is not None]
    return {
        "rule": replayed.rule,
        "event": replayed.event,
        "n": len(calls),
        **table,
        "brier": chances.brier,
        "brier_climatology": chances.brier_climatology,
        "brier_skill": chances.skill,
        "reliability": [
            {"from": one.from_, "to": one.to, "n": one.n, "mean_p": one.mean_p, "observed": one.observed}
            for one in chances.reliability
        ],
        "lead_hours": math.fsum(leads) / len(leads) if leads else None,
        "unread": replayed.unread,
        "cost_of_a_warning": cost,
        "loss_of_a_miss": loss,
        "beside": {
            "always": _table([True] * len(calls), calls, cost, loss),
            "never": _table([False] * len(calls), calls, cost, loss),
            "published": {
                "method": replayed.published,
                **_table([one.published for one in calls], calls, cost, loss),
            },
        },
        "says": [*replayed.says, *_says(calls, chances.cautions)],
    }


def _table(warned: Sequence[bool], calls: Sequence[Call], cost: float, loss: float) -> dict[str, Any]:
    pairs = [(warn, call.came) for warn, call in zip(warned, calls, strict=True)]
    hits, false_alarms = pairs.count((True, True)), pairs.count((True, False))
    misses, quiet = pairs.count((False, True)), pairs.count((False, False))
    told = verify(hits, false_alarms, misses, quiet)
    return {
        "hits": hits,
        "misses": misses,
        "false_alarms": false_alarms,
        "correct_negatives": quiet,
        "pod": told.pod,
        "far": told.far,
        "csi": told.csi,
        "bias": told.bias,
        "cost": cost * (hits + false_alarms) + loss * misses,
    }


def _says(calls: Sequence[Call], cautions: Sequence[str]) -> list[str]:
    came = sum(one.came for one in calls)
    said = list(cautions)
    if calls and not came:
        said.append("It never came in that time: nothing can be said of misses.")
    if not calls:
        said.append("There was nothing to judge in that time.")
    return said


#: What a replay needs besides facts: settings with defaults filled in, and the first and last local date.
Replay = Callable[[Facts, Mapping[str, Any], date, date], Replayed]
FOR_EVER: Final = (date.min, date.max)
