"""One turn of the ticker: which plots are due, and a pass for each.

A plot is due when a quarter of an hour has begun on its own clock since its last pass, or when records have
come since. After a downtime the newest quarter is run and the older ones are not: what is over is looked at by
the same pass, silently.
"""

from __future__ import annotations

import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta

import structlog

from underboard.core.errors import FenceLost, Overtaken, StoreBusy
from underboard.core.warnings.timing import DailyAt, EveryMinutes, due, zone_of
from underboard.jobs.clock import Clock, SystemClock
from underboard.jobs.gathering import NAME
from underboard.jobs.passing import Passed, Passing
from underboard.store import job_runs, summaries
from underboard.store.database import writing
from underboard.store.forgetting import forget_deletions
from underboard.store.job_runs import Claim
from underboard.store.server_records import lock_plot
from underboard.store.summaries import Standing

WARN, TIDY = "warn", "tidy"
QUARTERS = EveryMinutes(15)
AT_NIGHT = DailyAt((time(3, 30),))
LEASE = timedelta(minutes=2)


@dataclass
class Turns:
    """What the ticker calls.

    Parameters
    ----------
    lease
        How long one pass may take before somebody else may run it again.
    """

    passing: Passing = field(default_factory=Passing)
    clock: Clock = field(default_factory=SystemClock)
    lease: timedelta = LEASE

    def run_due(self, late_by: timedelta = timedelta(0)) -> list[Passed]:
        """Run what is due; a plot that fails is noted and does not hold up the others.

        Parameters
        ----------
        late_by
            Leave alone what is due for less than this: somebody else is expected to run it.
        """
        now = self.clock.now()
        everything = summaries.standings(NAME)
        last = self._last(everything, now)
        passed = []
        for standing in everything:
            for slot in _slots(standing, last.get(standing.plot_id), now):
                if now - slot < late_by:
                    continue
                one, claimed = self._run(standing.plot_id, slot)
                if one is not None:
                    passed.append(one)
                if claimed or job_runs.is_running(WARN, standing.plot_id, self.clock.now()):
                    break
        return passed

    def tidy(self) -> int:
        """Once a night by each plot's clock: forget old deletions and old runs; return how many plots it was."""
        now = self.clock.now()
        standings = summaries.standings(NAME)
        last = job_runs.last_done(TIDY, [one.plot_id for one in standings], now)
        count = 0
        for one in standings:
            slot = due(AT_NIGHT, zone_of(one.zone), last.get(one.plot_id), now)
            if slot is not None:
                claim = job_runs.claim(TIDY, one.plot_id, slot, now, self.lease)
                count += claim is not None and self._guarded(claim, lambda c: _tidy(c, self.clock.now()))
        if count:
            job_runs.prune(now)
        return count

    def _last(self, everything: Sequence[Standing], now: datetime) -> Mapping[str, datetime]:
        """Return each plot's newest slot. The summary says it, unless the clock was ahead when it was run."""
        said = {one.plot_id: one.slot for one in everything if one.slot is not None}
        ahead = [plot_id for plot_id, slot in said.items() if slot > now]
        known = {plot_id: slot for plot_id, slot in said.items() if slot <= now}
        return {**known, **job_runs.last_done(WARN, ahead, now)} if ahead else known

    def _run(self, plot_id: str, slot: datetime) -> tuple[Passed | None, bool]:
        try:
            claim = job_runs.claim(WARN, plot_id, slot, self.clock.now(), self.lease)
        except StoreBusy:
            return None, True  # the next turn finds it still due
        if claim is None:
            return None, False
        self.passing.mark("claimed")
        found: list[Passed] = []
        self._guarded(claim, lambda c: found.append(self.passing.run(plot_id, self.clock.now(), c)))
        return (found[0] if found else None), True

    def _guarded(self, claim: Claim, work: Callable[[Claim], object]) -> bool:
        """Do the work of a claim; whatever goes wrong is noted on its row and in the log."""
        log = structlog.get_logger("underboard")
        try:
            work(claim)
            return True
        except FenceLost as fault:
            log.warning("job robbed", job=claim.job, plot=claim.plot_id, words=str(fault))
        except (StoreBusy, Overtaken) as fault:
            # Nothing was written; the slot is free again as soon as the lease is over.
            log.warning("job put off", job=claim.job, plot=claim.plot_id, words=str(fault))
        except Exception as fault:  # one plot's trouble must not silence the others
            log.error("job failed", job=claim.job, plot=claim.plot_id, fault=traceback.format_exc())
            job_runs.give_up(claim, self.clock.now(), f"{type(fault).__name__}: {fault}")
        return False


def _slots(standing: Standing, last: datetime | None, now: datetime) -> Iterator[datetime]:
    """Give the slots to try: the quarter that has begun, and this minute if there are new records.

    The minute comes second: it is taken where the quarter was tried before and failed.
    """
    quarter = due(QUARTERS, zone_of(standing.zone), last, now)
    if quarter is not None:
        yield quarter
    minute = now.astimezone(UTC).replace(second=0, microsecond=0)
    if standing.has_news and minute != quarter and (last is None or minute > last):
        yield minute


def _tidy(claim: Claim, now: datetime) -> None:
    forget_deletions(claim.plot_id, now)
    with writing() as connection:
        lock_plot(connection, claim.plot_id)
        job_runs.finish(connection, claim, now)
