"""Which backups to keep: the newest of each of the last days, weeks and months that have one."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from datetime import datetime


def to_keep(made: Iterable[datetime], *, daily: int, weekly: int, monthly: int) -> set[datetime]:
    """Return the moments of the backups to keep.

    Days, weeks (ISO 8601) and months count only where a backup was made in them, so that a machine that was off
    for a month loses none by it. The newest backup is always kept.

    Examples
    --------
    >>> from datetime import UTC, timedelta
    >>> made = [datetime(2026, 5, 31, 3, tzinfo=UTC) - timedelta(days=n) for n in range(90)]
    >>> [f"{moment:%d.%m.}" for moment in sorted(to_keep(made, daily=3, weekly=3, monthly=3))]
    ['31.03.', '30.04.', '17.05.', '24.05.', '29.05.', '30.05.', '31.05.']
    """
    newest_first = sorted(made, reverse=True)
    periods: tuple[tuple[int, Callable[[datetime], Hashable]], ...] = (
        (daily, lambda moment: moment.date()),
        (weekly, lambda moment: moment.isocalendar()[:2]),
        (monthly, lambda moment: (moment.year, moment.month)),
    )
    kept = set(newest_first[:1])
    for how_many, period_of in periods:
        seen: set[Hashable] = set()
        for moment in newest_first:
            period = period_of(moment)
            if period not in seen and len(seen) < how_many:
                seen.add(period)
                kept.add(moment)
    return kept
