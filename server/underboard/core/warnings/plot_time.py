"""Days of the plot's own calendar: which one it is, and when it begins and ends."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from underboard.core.warnings.facts import Facts
from underboard.core.warnings.timing import moment_of, zone_of

DAY = timedelta(days=1)


def today_of(facts: Facts, now: datetime) -> date:
    """Return the local date of the plot."""
    return day_of(facts, now)


def day_of(facts: Facts, at: datetime) -> date:
    """Return the local date of a moment."""
    return at.astimezone(zone_of(facts.plot.time_zone)).date()


def at_clock(facts: Facts, day: date, hour: int = 0) -> datetime:
    """Return the moment at which the plot's clock shows the full hour on a day, midnight when none is given."""
    return moment_of(day, time(hour), zone_of(facts.plot.time_zone))


def end_of(facts: Facts, day: date) -> datetime:
    """Return the midnight that ends a day."""
    return at_clock(facts, day + DAY)
