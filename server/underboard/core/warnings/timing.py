"""When is something to be done, and when is it to be quiet? By the plot's own clock, answered in UTC.

Two days a year that clock skips an hour or shows one twice. A wall-clock time that is skipped comes at the first
moment after the gap, one that is shown twice at its first showing: each comes once. Whoever was away gets the
newest slot only: what was missed before it is over.

Examples
--------
>>> from datetime import UTC, datetime, time
>>> from zoneinfo import ZoneInfo
>>> berlin = ZoneInfo("Europe/Berlin")
>>> due(DailyAt((time(2, 30),)), berlin, None, datetime(2026, 3, 29, 1, 0, tzinfo=UTC)).isoformat()
'2026-03-29T01:00:00+00:00'
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class EveryMinutes:
    """Each time the plot's clock shows a multiple of `minutes` (a divisor of 60) after the full hour.

    The slots are moments as they pass: an hour that the clock shows twice has them in both showings, since frost
    does not wait for the clock.
    """

    minutes: int


@dataclass(frozen=True, slots=True)
class DailyAt:
    """Once a day at each of these wall-clock times."""

    times: tuple[time, ...]


Schedule = EveryMinutes | DailyAt


def zone_of(name: str | None) -> tzinfo:
    """Return the time zone of an IANA name; UTC where there is none or nobody knows it."""
    try:
        return ZoneInfo(name) if name else UTC
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return UTC


def due(schedule: Schedule, zone: tzinfo, last: datetime | None, now: datetime) -> datetime | None:
    """Return the newest slot after `last` and up to `now`, in UTC, or None.

    Parameters
    ----------
    last
        The slot that was run last; None when none ever was.
    now
        Aware.
    """
    newest = _newest(schedule, zone, now)
    if newest is None or (last is not None and newest <= last):
        return None
    return newest


def slots(schedule: Schedule, zone: tzinfo, after: datetime, until: datetime) -> Iterator[datetime]:
    """Give every slot after `after` and up to `until`, oldest first, in UTC; none is given twice."""
    after, until = after.astimezone(UTC), until.astimezone(UTC)
    if isinstance(schedule, EveryMinutes):
        step = timedelta(minutes=schedule.minutes)
        slot = _floor(schedule.minutes, zone, after) + step
        while slot <= until:
            yield slot
            slot = _floor(schedule.minutes, zone, slot + step)
        return
    day, last = after.astimezone(zone).date() - DAY, until.astimezone(zone).date() + DAY
    seen = after
    while day <= last:
        for slot in sorted({moment_of(day, at, zone) for at in schedule.times}):
            if seen < slot <= until:
                yield slot
                seen = slot
        day += DAY


def moment_of(day: date, at: time, zone: tzinfo) -> datetime:
    """Return the moment, in UTC, at which the clock of a zone shows a time on a day.

    Shown twice: the first. Never shown: the first moment after the gap.
    """
    shown = datetime.combine(day, at.replace(fold=0), zone)
    moment = shown.astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None) == shown.replace(tzinfo=None):
        return moment
    # In the gap: read with the offset from before it the moment lies behind the change, read with the offset
    # from after it the moment lies before the change.
    before = shown.replace(fold=1).astimezone(UTC)
    offset = moment.astimezone(zone).utcoffset()
    while moment - before > timedelta(seconds=1):
        middle = (before + (moment - before) / 2).replace(microsecond=0)
        if middle.astimezone(zone).utcoffset() == offset:
            moment = middle
        else:
            before = middle
    return moment


@dataclass(frozen=True, slots=True)
class QuietHours:
    """No sound from one wall-clock time until another, which may be on the next day."""

    start: time
    end: time

    @classmethod
    def read(cls, start: str | None, end: str | None) -> QuietHours | None:
        """Read two times HH:MM; None when one is missing or not a time, or when both are the same."""
        first, last = _clock_time(start), _clock_time(end)
        if first is None or last is None or first == last:
            return None
        return cls(first, last)

    def until(self, now: datetime, zone: tzinfo) -> datetime | None:
        """Return when the quiet that holds now ends, in UTC; None when it is not quiet now."""
        today = now.astimezone(zone).date()
        for day in (today - DAY, today):
            begins = moment_of(day, self.start, zone)
            ends = moment_of(day if self.start < self.end else day + DAY, self.end, zone)
            if begins <= now < ends:
                return ends
        return None


def _newest(schedule: Schedule, zone: tzinfo, now: datetime) -> datetime | None:
    if isinstance(schedule, EveryMinutes):
        return _floor(schedule.minutes, zone, now)
    today = now.astimezone(zone).date()
    past = [
        slot
        for day in (today - DAY, today, today + DAY)
        for at in schedule.times
        if (slot := moment_of(day, at, zone)) <= now
    ]
    return max(past, default=None)


def _floor(minutes: int, zone: tzinfo, moment: datetime) -> datetime:
    moment = moment.astimezone(UTC)
    offset = moment.astimezone(zone).utcoffset() or timedelta(0)
    shown = moment + offset
    into = timedelta(minutes=shown.minute % minutes, seconds=shown.second, microseconds=shown.microsecond)
    return moment - into


def _clock_time(text: str | None) -> time | None:
    try:
        return time.fromisoformat(text) if text is not None and len(text) == 5 and text[2] == ":" else None
    except ValueError:
        return None
