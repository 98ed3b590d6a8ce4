"""Kill -9 of the browser, of the process that draws the page and of the server, at random moments of a save, a pull, a
first pull, a photo, an upgrade of the phone's database, a push, a tap and a pass of the job: nothing promised is lost,
nothing is there by half, and all converge. Backups are killed in test_backup_kills.py.

More by hand: `tests/faults/kill_phones --rounds 200`.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

KILLS = (
    ("save", "browser"),
    ("pull", "renderer"),
    ("join", "browser"),
    ("photo", "browser"),
    ("upgrade", "renderer"),
    ("push", "browser"),
    ("taps", "renderer"),
    ("server", "sqlite"),
    ("server", "postgresql"),
    ("job", "sqlite"),
)
SEED = "47"
"""The server dies about a second after its start: then its job runs."""


@pytest.mark.browser
@pytest.mark.timeout(900)  # browsers, a server and a build on a machine that is busy
def test_kill_9_at_random_moments_loses_nothing() -> None:
    """One round each, in a process of its own: it runs browsers of its own."""
    words = [word for phase, victim in KILLS for word in ("--phase", f"{phase}:{victim}")]
    rounds = ("--rounds", str(len(KILLS)), "--seed", SEED)
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.phone_kills", *rounds, *words],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[3],
        timeout=850,
    )
    assert done.returncode == 0, done.stdout + done.stderr[-4000:]
    for phase, victim in KILLS:
        assert re.search(rf"^{phase} +{victim} +1 ", done.stdout, re.MULTILINE), done.stdout
    assert re.search(rf"^all +{len(KILLS)} +\d+ +0 ", done.stdout, re.MULTILINE), done.stdout
