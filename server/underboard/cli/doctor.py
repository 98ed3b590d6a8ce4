"""`underboard doctor`: what is wrong, in plain words, and what to do about it."""

from __future__ import annotations

import argparse
import os
import shutil
import stat
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

from underboard.cli.opening import add_command, answer, opened, settings_of

if TYPE_CHECKING:
    from underboard.config import Settings

LOW_DISK = 500 * 1024 * 1024
QUIET_PHONE = timedelta(days=7)
LATE_JOB = timedelta(minutes=45)
EARLIEST = datetime(2026, 1, 1, tzinfo=UTC)


@dataclass(frozen=True)
class Finding:
    """One thing looked at. `level` is ok, note or trouble."""

    about: str
    level: str
    words: str


def add(commands: Any) -> None:
    add_command(commands, "doctor", "Say in plain words what is wrong with this installation.", run)


def run(asked: argparse.Namespace) -> int:
    settings = settings_of(asked)
    found = list(examine(settings))
    marks = {"ok": "ok      ", "note": "note    ", "trouble": "TROUBLE "}
    text = "\n".join(f"{marks[one.level]}{one.about}: {one.words}" for one in found)
    answer(asked, {"findings": [asdict(one) for one in found]}, text)
    return 1 if any(one.level == "trouble" for one in found) else 0


def examine(settings: Settings) -> Iterator[Finding]:
    """Look at everything that can be wrong; one finding each."""
    yield Finding("data folder", "ok" if settings.data.is_dir() else "note", _folder_words(settings))
    yield _clock()
    if not settings.data.is_dir():
        return
    yield _disk(settings)
    yield from _secrets(settings)
    yield from _photos(settings)
    yield from _backups(settings)
    yield from _https(settings)
    whole = _database(settings)
    yield whole
    if whole.level != "trouble":
        yield from _phones(settings)
        yield from _channels(settings)
        yield from _jobs(settings)
        yield from _failed_backup(settings)


def _folder_words(settings: Settings) -> str:
    if settings.data.is_dir():
        return str(settings.data)
    return f"{settings.data} is not there yet; `underboard serve` makes it."


def _clock() -> Finding:
    now = datetime.now(UTC)
    if now < EARLIEST:
        return Finding("clock", "trouble", f"the clock says {now.date()}: set it, days would be wrong.")
    return Finding("clock", "ok", f"{now:%Y-%m-%d %H:%M} UTC")


def _disk(settings: Settings) -> Finding:
    probe = settings.data / f".doctor-{os.getpid()}"
    try:
        probe.write_bytes(b"x")
        probe.unlink()
    except OSError as fault:
        words = f"nothing can be written into {settings.data} ({fault.strerror}): phones keep their records."
        return Finding("disk", "trouble", words)
    free = shutil.disk_usage(settings.data).free
    words = f"{free / 1e9:.1f} GB free"
    if free < LOW_DISK:
        return Finding("disk", "trouble", f"{words}: make room, or records and photos can't be stored.")
    return Finding("disk", "ok", words)


def _secrets(settings: Settings) -> Iterator[Finding]:
    if os.name != "posix" or not settings.keys.is_dir():
        return
    open_ones = [
        path.name
        for path in (settings.keys, *settings.keys.iterdir())
        if stat.S_IMODE(path.stat().st_mode) & 0o077
    ]
    if open_ones:
        names = ", ".join(open_ones)
        yield Finding("keys", "trouble", f"others can read {names}: run chmod -R go-rwx {settings.keys}.")
    else:
        yield Finding("keys", "ok", "readable by you alone")


def _photos(settings: Settings) -> Iterator[Finding]:
    from underboard.cli.photo_check import photos

    yield from photos(settings)


def _backups(settings: Settings) -> Iterator[Finding]:
    from underboard.cli.backup_check import backups

    yield from backups(settings)


def _failed_backup(settings: Settings) -> Iterator[Finding]:
    from underboard.cli.backup_check import failed_backup

    yield from failed_backup(settings)


def _database(settings: Settings) -> Finding:
    from underboard.store.wholeness import damage_in

    file = settings.sqlite_file
    if file is not None:
        if not file.is_file():
            return Finding("database", "note", "none yet; `underboard serve` makes it.")
        verdict = damage_in(file)
        if verdict is not None:
            words = f"damaged ({verdict}): stop the server and put a backup back, underboard restore FILE."
            return Finding("database", "trouble", words)
    try:
        with opened(settings):
            from underboard.store import people

            count = len(people.plots())
    except Exception as fault:
        return Finding("database", "trouble", f"can't be opened: {str(fault).splitlines()[0]}")
    return Finding("database", "ok", f"whole, {count} plot{'s' if count != 1 else ''}")


def _phones(settings: Settings) -> Iterator[Finding]:
    from underboard.store import people

    now = datetime.now(UTC)
    with opened(settings):
        devices = [device for plot_id in people.plots() for device in people.devices(plot_id)]
    quiet = [d for d in devices if d.last_seen_at is not None and now - d.last_seen_at > QUIET_PHONE]
    for device in quiet:
        days = (now - (device.last_seen_at or now)).days
        words = (
            f"{device.name} was last here {days} days ago: open the app on it at home, it may hold records."
        )
        yield Finding("phones", "note", words)
    if not quiet:
        yield Finding("phones", "ok", f"{len(devices)} paired, all seen within a week")


def _jobs(settings: Settings) -> Iterator[Finding]:
    """Say whether warnings are looked for in time, and for which plots that fails."""
    from underboard.jobs.gathering import NAME
    from underboard.jobs.turns import WARN
    from underboard.store import job_runs, summaries

    if not settings.jobs:
        yield Finding("jobs", "note", "switched off by the setting jobs: nobody is warned of anything.")
        return
    now = datetime.now(UTC)
    with opened(settings):
        newest = {one.plot_id: one.slot for one in summaries.standings(NAME)}
        failed = [
            run for plot_id in newest for run in job_runs.runs(WARN, plot_id, 1) if run.state == "failed"
        ]
    for run in failed:
        words = f"looking for warnings failed at {run.slot:%Y-%m-%d %H:%M} UTC ({run.fault}): see the server's log."
        yield Finding("jobs", "trouble", f"plot {run.plot_id}: {words}")
    late = [slot for slot in newest.values() if slot is None or now - slot > LATE_JOB]
    if late:
        yield _late(settings, min((slot for slot in late if slot is not None), default=None))
    elif not failed:
        yield Finding(
            "jobs", "ok", "warnings are looked for in time" if newest else "no plot to look after yet"
        )


def _late(settings: Settings, last: datetime | None) -> Finding:
    """A server that holds the lock and is late is in trouble; none that holds it is stopped."""
    from underboard.store.leading import lead_of

    lead = lead_of(settings.database, settings.jobs_lock)
    stopped = lead.held()
    lead.give_up()
    since = f"since {last:%Y-%m-%d %H:%M} UTC" if last is not None else "yet"
    words = f"nobody has looked for warnings {since}"
    if stopped:
        return Finding("jobs", "note", f"{words}: that happens while `underboard serve` runs.")
    return Finding("jobs", "trouble", f"{words} although the server runs: restart it and see its log.")


def _https(settings: Settings) -> Iterator[Finding]:
    from underboard.cli.certificate_check import https

    yield from https(settings)


def _channels(settings: Settings) -> Iterator[Finding]:
    from underboard.cli.channel_check import channels
    from underboard.store import outbox, people, targets

    with opened(settings):
        found = [one for plot_id in people.plots() for one in targets.standings(plot_id)]
        late = outbox.waiting_since(datetime.now(UTC))
    yield from channels(settings, found, late)
