"""Nights that are over, judged by the minimum thermometer."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

from underboard.core.warnings.facts import Facts
from underboard.core.warnings.frost_night import grass_minima, lowest_of
from underboard.core.warnings.frost_outcome import outcome_of
from underboard.core.warnings.plot_time import at_clock
from underboard.core.warnings.windows import Window, in_time

EVENING: Final = 18


def frost_windows(facts: Facts) -> Iterator[Window]:
    """Give the nights since the plot is watched whose lowest temperature is known and that were decided on.

    A night was decided on when it was warned of, when there was an evening reading, or when frost came all the
    same: without a reading that is a miss.
    """
    since = None if facts.since is None else facts.since - timedelta(days=1)
    lowest = lowest_of(facts)
    watch = facts.watches.get("frost")
    at_c = _number(watch.settings.get("at_c")) if watch is not None else None
    read = {one.night for one in facts.evenings}
    warned = {one.key: in_time(one) for one in facts.standing if one.rule == "frost"}
    for night in sorted(lowest.get("", ())):
        if since is None or night < since.date():
            continue
        key = night.isoformat()
        outcome = outcome_of(facts, night, lowest, at_c)
        if outcome is not None and (warned.get(key) or night in read or outcome.came):
            start = at_clock(facts, night, EVENING)
            yield Window(key, start, warned.get(key, False), outcome.came)


def ground_frost_windows(facts: Facts) -> Iterator[Window]:
    """Give the nights that were warned of ground frost and whose grass minimum is known."""
    grass = grass_minima(facts)
    for one in facts.standing:
        if one.rule == "ground_frost" and one.window_start is not None:
            low_c = next((c for night, c in grass.items() if night.isoformat() == one.key), None)
            if low_c is not None:
                yield Window(one.key, one.window_start, in_time(one), low_c < 0)


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
