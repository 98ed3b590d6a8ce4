"""Kill -9 of the browser, of the process that draws the page and of the server, at random moments of a save, of an
upgrade of the phone's database and of a push: nothing promised is lost, nothing is there by half, and all converge.

More by hand: `tests/faults/kill_phones --rounds 200`.
"""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

PHASES = {"save": "browser", "upgrade": "renderer", "server": "sqlite"}


@pytest.mark.browser
@pytest.mark.timeout(900)  # browsers, a server and a build on a machine that is busy
def test_kill_9_at_random_moments_loses_nothing() -> None:
    """One round each, in a process of its own: it runs browsers of its own."""
    words = [word for phase in PHASES for word in ("--phase", phase)]
    done = subprocess.run(
        [sys.executable, "-m", "tests.faults.phone_kills", "--rounds", "3", "--seed", "7", *words],
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[3],
        timeout=850,
    )
    assert done.returncode == 0, done.stdout + done.stderr[-4000:]
    for phase, victim in PHASES.items():
        assert re.search(rf"^{phase} +{victim} +1 ", done.stdout, re.MULTILINE), done.stdout
    assert re.search(r"^all +3 +\d+ +0 ", done.stdout, re.MULTILINE), done.stdout
