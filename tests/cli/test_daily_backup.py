"""The daily backup by a real `serve`: due, it is made and verified; a restart on the same day makes no second one."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.browser.server import ServerProcess
from tests.store.kept_plot import fill, no_key, settings_in, store_of
from underboard.config import Settings
from underboard.jobs.backups import BACKUP, LEASE, SERVER
from underboard.store import job_runs
from underboard.store.backup.making import backups_in
from underboard.store.backup.reading import read_backup
from underboard.store.database import writing

IDLE_S = 4.0
"""How long a server that leads is watched for doing nothing; a backup that was due began after one second."""


def note_done(slot: datetime) -> None:
    """A backup of this turn was made, as the server that was here before noted it."""
    claim = job_runs.claim(BACKUP, SERVER, slot, slot, LEASE)
    assert claim is not None
    with writing() as connection:
        job_runs.finish(connection, claim, slot)


def state_of(settings: Settings) -> list[tuple[str, str]]:
    """The runs of the daily backup: slot and what became of it."""
    with closing(sqlite3.connect(settings.data / "underboard.sqlite3", timeout=30)) as connection:
        rows = connection.execute("SELECT slot, state FROM job_run WHERE job = ? ORDER BY slot", (BACKUP,))
        return [(str(slot)[:16], str(state)) for slot, state in rows]


def until(found: Callable[[], bool], what: str, seconds: float = 90) -> None:
    """Wait until something is true."""
    deadline = time.monotonic() + seconds
    while not found():
        assert time.monotonic() < deadline, what
        time.sleep(0.1)


def leads(settings: Settings) -> bool:
    """Whether a process holds the lock of the scheduled work, and so has had its first turn. Not by asking for the
    lock: the server would take the test for another one that leads."""
    lock: Path = settings.jobs_lock
    if not lock.exists():
        return False
    number = f":{lock.stat().st_ino}"
    return any(line.split()[5].endswith(number) for line in Path("/proc/locks").read_text().splitlines())


@pytest.mark.timeout(600)
def test_a_server_makes_the_backup_that_is_due_once(tmp_path: Path) -> None:
    settings = settings_in(tmp_path / "home", backup_folder="kept")
    fill(settings)
    now = datetime.now(UTC)
    due = (now - timedelta(hours=6)).replace(
        second=0, microsecond=0
    )  # far from the next one, whatever the time
    settings.settings_file.write_text(f'backup_folder = "kept"\nbackup_at = "{due:%H:%M}"\n')
    yesterday = due - timedelta(days=1)
    with store_of(settings):
        note_done(yesterday)
    server, kept = ServerProcess(settings.data), settings.data / "kept"
    stamps = [f"{yesterday:%Y-%m-%d %H:%M}", f"{due:%Y-%m-%d %H:%M}"]
    try:
        server.start()
        until(lambda: state_of(settings) == [(stamp, "done") for stamp in stamps], "no backup came by itself")
        (file,) = kept.iterdir()
        assert list(backups_in(kept).values()) == [file]
        read_to = tmp_path / "read"
        read_to.mkdir()
        contents = read_backup(file, no_key, read_to)
        assert (contents.manifest.records, contents.manifest.photos, contents.photos_damaged) == (3, 1, ())
        assert contents.manifest.made_at >= now
        assert settings.backup_note.read_text().strip() == contents.manifest.made_at.isoformat()
        server.stop()

        server.start()
        until(lambda: leads(settings), "no turn after the restart")
        time.sleep(IDLE_S)
        assert list(kept.iterdir()) == [file], "a second one on the same day"
        assert [stamp for stamp, _ in state_of(settings)] == stamps
        server.stop()

        # The same start, with the day's turn not yet taken: it is the ticker that makes the difference.
        with closing(sqlite3.connect(settings.data / "underboard.sqlite3")) as connection:
            connection.execute("DELETE FROM job_run WHERE job = ? AND slot LIKE ?", (BACKUP, f"{stamps[1]}%"))
            connection.commit()
        server.start()
        # Of two on one day the newer one is kept.
        until(
            lambda: list(backups_in(kept).values()) not in ([], [file]), "no backup after the second restart"
        )
        until(lambda: state_of(settings)[-1:] == [(stamps[1], "done")], "it was not noted")
    finally:
        server.stop()
