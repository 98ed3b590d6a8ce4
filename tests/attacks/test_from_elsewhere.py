"""Plain http from another machine: from_elsewhere.py, run in a network where this machine has such an address."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.attacks.neighbour import apart

HERE = Path(__file__).parent


@pytest.mark.browser
@pytest.mark.timeout(400)
def test_what_comes_from_elsewhere_over_plain_http_is_told_why_and_nothing_more() -> None:
    inside = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(HERE / "from_elsewhere.py")]
    done = subprocess.run(
        apart(inside), cwd=HERE.parents[1], capture_output=True, text=True, timeout=380, check=False
    )
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
    assert re.search(r"^3 passed", done.stdout, re.MULTILINE), done.stdout[-2000:]
