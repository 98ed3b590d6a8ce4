"""Has a phone gone silent?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from underboard.core.agronomy.contract import COMMON_PRACTICE
from underboard.core.warnings.facts import DeviceFact, Facts
from underboard.core.warnings.plot_time import day_of
from underboard.core.warnings.terms import Due, Held, Rule, Said, Setting
from underboard.core.warnings.wording import day_words, listed

NAME = "phone_not_synced"
#: A phone that has been silent for so long is no longer in use; it is on the list of devices all the same.
FORGOTTEN = timedelta(days=120)


def run(facts: Facts, settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """Answer each device that was here once and has not been for longer than the person allows."""
    allowed = timedelta(days=settings["days"])
    known = [one for one in facts.house.devices if one.last_seen_at is not None]
    silent = sorted((one for one in known if _silent(one, allowed, now)), key=lambda one: one.id)
    for one in silent:
        yield _due(facts, one, allowed)
    if not known:
        yield Held(rule=NAME, why_not="No phone has synced yet.")
    elif not silent:
        names = listed(sorted(one.name for one in known))
        yield Held(
            rule=NAME, why_not=f"Heard from in the last {settings['days']} days, or long retired: {names}."
        )


def _silent(one: DeviceFact, allowed: timedelta, now: datetime) -> bool:
    return one.last_seen_at is not None and allowed < now - one.last_seen_at <= max(FORGOTTEN, 2 * allowed)


def _due(facts: Facts, one: DeviceFact, allowed: timedelta) -> Due:
    assert one.last_seen_at is not None
    seen_on = day_of(facts, one.last_seen_at)
    return Due(
        rule=NAME,
        key=f"{one.id}:{seen_on.isoformat()}",
        window_start=one.last_seen_at + allowed,
        window_end=one.last_seen_at + max(FORGOTTEN, 2 * allowed),
        severity="Minor",
        urgency="Expected",
        certainty="Observed",
        headline=f"{one.name} has not synced since {day_words(seen_on)}.",
        why="What was recorded on it since then is on that phone alone, and nobody else sees it.",
        advice="Open the app on it at home. If it is lost, take it off the list of devices.",
        caution="Do not clear the browser's data on it before it has synced.",
        numbers={"last_seen_on": seen_on.isoformat(), "device_id": one.id},
        loud=False,
    )


RULE = Rule(
    name=NAME,
    title="Phone not synced",
    question="Which phone has not been heard from?",
    group="house",
    source=COMMON_PRACTICE,
    run=run,
    settings=(
        Setting(
            name="days",
            kind="whole",
            default=7,
            unit="days",
            low=1,
            high=90,
            doc="Say so after this many days without a sync (common practice, no source).",
        ),
    ),
)
