"""Every rule replayed: frost and surges are asked again; others are judged by what people answered to them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any, Final

from underboard.core.errors import InputFault
from underboard.core.warnings import RULES
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.plot_time import day_of
from underboard.core.warnings.replay import (
    FOR_EVER,
    USUAL_COST,
    USUAL_LOSS,
    Call,
    Replay,
    Replayed,
    answer_of,
)
from underboard.core.warnings.replay_frost import replay_frost
from underboard.core.warnings.replay_surge import replay_surge
from underboard.core.warnings.scoring import windows_of
from underboard.core.warnings.terms import chosen

ASKED_AGAIN: Final[Mapping[str, Replay]] = {"frost": replay_frost, "surge": replay_surge}


def replay_of(facts: Facts, rule: str, first: date | None = None, last: date | None = None) -> dict[str, Any]:
    """Replay a rule over the plot's records between two local dates, both included, with its own settings.

    Raises
    ------
    InputFault
        There is no such rule, or the dates are the wrong way round.
    """
    if rule not in RULES:
        raise InputFault(
            "/rule", f'There is no rule "{rule[:40]}"; the rules are {", ".join(sorted(RULES))}.'
        )
    begin, end = first or FOR_EVER[0], last or FOR_EVER[1]
    if begin > end:
        raise InputFault(
            "/to", f"The last day {end} is before the first {begin}; give them the other way round."
        )
    watch = facts.watches.get(rule)
    settings = chosen(RULES[rule], watch.settings if watch else None)
    replayed = ASKED_AGAIN.get(rule, _by_answers(rule))(facts, settings, begin, end)
    cost, loss = settings.get("cost", USUAL_COST), settings.get("loss", USUAL_LOSS)
    return {"from": _iso(first), "to": _iso(last), "settings": settings, **answer_of(replayed, cost, loss)}


def _by_answers(rule: str) -> Replay:
    def judged(facts: Facts, _settings: Mapping[str, Any], first: date, last: date) -> Replayed:
        calls = [
            Call(one.key, one.warned, one.came, False, float(one.warned))
            for one in windows_of(facts, rule)
            if first <= day_of(facts, one.start) <= last
        ]
        says = ("Judged by people's answers to its warnings alone, so what it missed is not known.",)
        return Replayed(rule, tuple(calls), "none is published", "what people answered", says)

    return judged


def _iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
