"""Backups and restores that are killed. More by hand: `tests/faults/kill_backups --rounds 200`."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest


@pytest.mark.timeout(900)
@pytest.mark.parametrize(("database", "rounds"), [("sqlite", 16), ("postgres", 2)])
def test_kill_9_leaves_old_data_and_old_backups_whole(database: str, rounds: int) -> None:
    """Eighteen rounds of each kind in all, in a process without threads: it forks what it kills."""
    command = [sys.executable, "-m", "tests.faults.backup_kills", "--rounds", str(rounds), "--seed", "7"]
    done = subprocess.run(
        [*command, "--database", database],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
        timeout=850,
    )
    assert done.returncode == 0, done.stdout + done.stderr[-4000:]
    assert f"{database} backup: " in done.stdout and f"{database} restore: " in done.stdout
