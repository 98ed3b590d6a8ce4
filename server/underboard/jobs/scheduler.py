"""The ticker: APScheduler with nothing in its memory but "every minute". It decides nothing.

A job that still runs is not started again, turns that were missed are made up by one, and what a turn raises is
logged and over with. When the wall clock is put back, APScheduler would sleep until it has caught up; a small
watcher on the clock that never jumps notices, and asks for a turn now.
"""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import structlog
from apscheduler.executors.pool import ThreadPoolExecutor
from apscheduler.jobstores.memory import MemoryJobStore
from apscheduler.schedulers.background import BackgroundScheduler
from apscheduler.triggers.interval import IntervalTrigger

from underboard.jobs.clock import Clock, SystemClock

FIRST_S = 1.0
WATCH_S = 20.0
JUMP_S = 5.0


@dataclass(frozen=True)
class Work:
    """Something to be asked for every `seconds`."""

    name: str
    seconds: int
    run: Callable[[], object]


class Ticker:
    """Asks for each work in turn, in threads of its own, until it is stopped."""

    def __init__(self, works: Sequence[Work], clock: Clock | None = None) -> None:
        self._clock = clock or SystemClock()
        self._stop = threading.Event()
        self._scheduler = BackgroundScheduler(
            jobstores={"default": MemoryJobStore()},
            executors={"default": ThreadPoolExecutor(max(1, len(works)))},
            job_defaults={"coalesce": True, "max_instances": 1, "misfire_grace_time": None},
            timezone=UTC,
            daemon=True,
        )
        # What it would say of a turn that is still under way is no news, and what a turn raises is said below.
        logging.getLogger("apscheduler").setLevel(logging.CRITICAL)
        first = datetime.now(UTC) + timedelta(seconds=FIRST_S)
        for work in works:
            trigger = IntervalTrigger(seconds=work.seconds, timezone=UTC)
            self._scheduler.add_job(
                _guarded(work), trigger, id=work.name, name=work.name, next_run_time=first
            )
        self._watcher = threading.Thread(target=self._watch, name="clock watcher", daemon=True)

    def start(self) -> None:
        self._scheduler.start()
        self._watcher.start()

    def stop(self) -> None:
        """Stop asking, and wait for what is under way."""
        self._stop.set()
        self._scheduler.shutdown(wait=True)
        self._watcher.join()

    def ask_now(self) -> None:
        """Let every work have its turn at once."""
        for job in self._scheduler.get_jobs():
            self._scheduler.modify_job(job.id, next_run_time=datetime.now(UTC))

    def _watch(self) -> None:
        watcher = JumpWatch(self._clock)
        while not self._stop.wait(WATCH_S):
            if watcher.went_back():
                self.ask_now()


def _guarded(work: Work) -> Callable[[], None]:
    """Say in the server's log what a turn raises; the next one comes all the same."""

    def run() -> None:
        try:
            work.run()
        except Exception as fault:
            structlog.get_logger("underboard").error("turn failed", work=work.name, exc_info=fault)

    return run


class JumpWatch:
    """Notices that the wall clock was put back, by the clock that never is."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._ahead = self._difference()

    def went_back(self) -> bool:
        """Say whether the wall clock was put back since this was asked last."""
        ahead = self._difference()
        back = self._ahead - ahead > JUMP_S
        self._ahead = ahead
        return back

    def _difference(self) -> float:
        return self._clock.now().timestamp() - self._clock.monotonic()
