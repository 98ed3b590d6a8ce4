"""What `doctor` says about backups: how old they are, where they lie, whether the last try failed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from underboard.cli.doctor import Finding
from underboard.cli.house import last_backup
from underboard.cli.opening import opened

if TYPE_CHECKING:
    from underboard.config import Settings

ABOUT = "last backup"
OLD = timedelta(days=7)
LATE = timedelta(days=2)
"""A daily backup that is older than this has failed twice."""


def backups(settings: Settings) -> Iterator[Finding]:
    """Say how good the newest backup is; what needs the database comes from `failed_backup`."""
    made_at = last_backup(settings)
    if made_at is None:
        how = "run underboard backup FILE, best onto another disk, or set backup_folder"
        yield Finding(ABOUT, "note", f"never: {how}.")
    else:
        age = datetime.now(UTC) - made_at
        words = f"{made_at:%Y-%m-%d %H:%M}, {age.days} days ago"
        if settings.backups is not None and settings.jobs and age > LATE:
            yield Finding(
                ABOUT, "trouble", f"{words}, though one is to be made each day: does the server run?"
            )
        else:
            yield Finding(ABOUT, "note" if age > OLD else "ok", words)
    if settings.backups is not None:
        yield from _place(settings)


def _place(settings: Settings) -> Iterator[Finding]:
    folder = settings.backups
    assert folder is not None
    inside = folder.is_relative_to(settings.data)
    if not folder.is_dir() and not inside:
        yield Finding(
            "backup folder", "trouble", f"{folder} is not there: make it, or plug in the disk it is on."
        )
    elif inside or folder.stat().st_dev == settings.data.stat().st_dev:
        words = f"{folder} is on the same disk as the data: if that disk fails, both are gone."
        yield Finding("backup folder", "note", words)
    else:
        sealed = "encrypted" if settings.backup_passphrase_file.is_file() else "not encrypted"
        yield Finding("backup folder", "ok", f"{folder}, another disk, {sealed}")


def failed_backup(settings: Settings) -> Iterator[Finding]:
    """Say why the newest daily backup failed, if it did."""
    from underboard.jobs.backups import BACKUP, SERVER
    from underboard.store import job_runs

    if settings.backups is None:
        return
    with opened(settings):
        newest = job_runs.runs(BACKUP, SERVER, 1)
    if newest and newest[0].state == job_runs.FAILED:
        words = f"the one of {newest[0].slot:%Y-%m-%d %H:%M} UTC failed: {newest[0].fault}"
        yield Finding("daily backup", "trouble", words)
