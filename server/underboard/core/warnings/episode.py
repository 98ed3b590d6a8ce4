"""One warning while something lasts: its key is where it is and the first day it was seen."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from underboard.core.warnings.facts import Facts, StandingFact

#: What comes back within so many days is the same thing again, and no new alarm.
SAME_AGAIN = timedelta(days=14)


def lasting_key(facts: Facts, rule: str, scope: str, first_day: date, now: datetime) -> tuple[str, date]:
    """Return the key to warn under, and its first day.

    A warning of this rule and scope that stands, or ended not long ago, goes on; otherwise a new one begins on
    `first_day`.
    """
    old = _recent(facts, rule, scope, now)
    days = [day for one in old if (day := _day(one.key, scope)) is not None]
    begun = max(days, default=first_day)
    return f"{scope}:{begun.isoformat()}", begun


def recent(facts: Facts, rule: str, scope: str, now: datetime) -> bool:
    """Whether a warning of this rule and scope stands, or ended not long ago."""
    return bool(_recent(facts, rule, scope, now))


def _recent(facts: Facts, rule: str, scope: str, now: datetime) -> list[StandingFact]:
    return [
        one
        for one in facts.standing
        if one.rule == rule
        and one.key.startswith(f"{scope}:")
        and one.raised_at <= now
        and (one.ended_at is None or now - one.ended_at <= SAME_AGAIN)
    ]


def _day(key: str, scope: str) -> date | None:
    try:
        return date.fromisoformat(key[len(scope) + 1 :])
    except ValueError:
        return None
