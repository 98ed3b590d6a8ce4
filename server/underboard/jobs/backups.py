"""The daily backup: claimed like every other run, once a day for the whole server.

A day whose backup failed (a disk that is not plugged in) is tried again every hour until one succeeds; a machine
that was off at the time makes up for it when it is back.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta

import structlog

from underboard.core.errors import FenceLost
from underboard.core.warnings.timing import DailyAt, due, zone_of
from underboard.jobs.clock import Clock, SystemClock
from underboard.jobs.gathering import NAME
from underboard.store import job_runs, summaries
from underboard.store.database import writing
from underboard.store.job_runs import Claim

BACKUP, SERVER = "backup", "server"
"""Job and, in the place of a plot, what it is of."""
LEASE = timedelta(hours=1)


@dataclass
class BackupTurns:
    """What the ticker calls.

    Parameters
    ----------
    make
        Makes the backup of this moment; raises with a sentence if it cannot.
    at
        By the clock of the first plot.
    """

    make: Callable[[datetime], object]
    at: time
    clock: Clock = field(default_factory=SystemClock)

    def run_due(self) -> bool:
        """Make the backup if it is due and nobody else makes it; return whether one was made."""
        now = self.clock.now()
        plots = summaries.standings(NAME)
        if not plots:
            return False
        daily = due(DailyAt((self.at,)), zone_of(plots[0].zone), _last(now), now)
        if daily is None:
            return False
        for slot in _slots(daily, now):
            claim = job_runs.claim(BACKUP, SERVER, slot, now, LEASE)
            if claim is not None:
                return self._run(claim)
            if job_runs.is_running(BACKUP, SERVER, now):
                return False
            done = _last(now)  # asked second: whoever was at it may just have come to the end
            if done is not None and done >= daily:
                return False
        return False

    def _run(self, claim: Claim) -> bool:
        log = structlog.get_logger("underboard")
        try:
            self.make(self.clock.now())
            with writing() as connection:
                job_runs.finish(connection, claim, self.clock.now())
        except FenceLost as fault:
            log.warning("job robbed", job=BACKUP, words=str(fault))
            return False
        except Exception as fault:  # said in the log and by `doctor`; the next hour tries again
            log.error("backup failed", words=str(fault))
            job_runs.give_up(claim, self.clock.now(), str(fault))
            return False
        return True


def _last(now: datetime) -> datetime | None:
    return job_runs.last_done(BACKUP, [SERVER], now).get(SERVER)


def _slots(daily: datetime, now: datetime) -> Iterator[datetime]:
    """Give the day's own slot and, once that was tried, this hour's."""
    yield daily
    hour = now.astimezone(UTC).replace(minute=0, second=0, microsecond=0)
    if hour > daily:
        yield hour
