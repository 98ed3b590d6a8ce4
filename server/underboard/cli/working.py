"""Putting the scheduled work together, for `serve` and for `warn`: here the rooms meet that do not know each other."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from underboard.cli.house import house_of

if TYPE_CHECKING:
    from flask import Flask

    from underboard.cli.tending import State
    from underboard.config import Settings
    from underboard.jobs.passing import Passing
    from underboard.jobs.scheduler import Ticker
    from underboard.jobs.turns import Turns
    from underboard.store.leading import Lead

STEPS_IN_AFTER = timedelta(minutes=3)
"""A server that does not lead runs what is late by this much: the one that leads may hang."""


def passing_of(settings: Settings, certificate: Path | None = None) -> Passing:
    from underboard.jobs.passing import Passing

    return Passing(house_of(settings, certificate))


def start_work(app: Flask, settings: Settings, certificate: Path | None = None) -> Ticker:
    """Start the ticker in this process: warnings each minute that they are due, messages, a tidy database."""
    from underboard.jobs.scheduler import Ticker, Work
    from underboard.jobs.turns import Turns
    from underboard.store.leading import lead_of

    turns = Turns(passing_of(settings, certificate))
    lead = lead_of(settings.database, settings.jobs_lock)

    def warn() -> None:
        with app.app_context():
            look(turns, leads=lead.held())

    works = [Work("warn", 60, warn), Work("send", 30, _sender(app, settings))]
    if settings.backups is not None:
        works.append(Work("backup", 60, _backer_up(app, settings, lead)))
    ticker = Ticker(works)
    ticker.start()
    return ticker


def start_tending(settings: Settings, files: tuple[Path, Path], watcher: int, shown: State) -> Ticker:
    """Look after the certificate that the server shows; whether warnings are looked for or not."""
    from underboard.certificates.keeping import Keeper
    from underboard.cli.tending import EVERY_S, Tending, restart_workers
    from underboard.jobs.clock import SystemClock
    from underboard.jobs.scheduler import Ticker, Work

    keeper = Keeper(settings.data)
    own = keeper if files[0] == keeper.server_file else None
    tending = Tending(own, files, lambda: restart_workers(watcher), SystemClock().now, shown)
    ticker = Ticker([Work("certificate", EVERY_S, tending.tend)])
    ticker.start()
    return ticker


def look(turns: Turns, *, leads: bool) -> None:
    """One turn: everything that is due, or only what is late if another server leads."""
    if leads:
        turns.run_due()
        turns.tidy()
    else:
        turns.run_due(late_by=STEPS_IN_AFTER)


def _backer_up(app: Flask, settings: Settings, lead: Lead) -> Callable[[], None]:
    from datetime import time

    from underboard.cli.backup import daily_backup
    from underboard.jobs.backups import BackupTurns

    turns = BackupTurns(daily_backup(settings), time.fromisoformat(settings.backup_at))

    def back_up() -> None:
        with app.app_context():
            if lead.held():
                turns.run_due()

    return back_up


def _sender(app: Flask, settings: Settings) -> Callable[[], None]:
    from underboard.jobs.clock import SystemClock
    from underboard.notify import channels_of, send_due
    from underboard.store import outbox

    channels = channels_of(settings)
    clock = SystemClock()

    def send() -> None:
        with app.app_context():
            send_due(outbox.lease_due, outbox.settle, channels, clock.now)

    return send
