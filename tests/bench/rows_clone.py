"""Rows of a first start: from a fresh clone to a served demo plot, and the same again."""

from __future__ import annotations

import os
import signal
import subprocess
import time
import urllib.error
import urllib.request
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.table import Row, at_most
from tests.browser.server import free_port

ROOT = Path(__file__).parents[2]
AT_MOST_S = 600


def clone_rows(quick: bool) -> list[Row]:
    """What is committed, cloned; packages come from the network or the machine's own caches. Quick: nothing."""
    if quick:
        return []
    with TemporaryDirectory() as folder:
        there = Path(folder) / "clone"
        subprocess.run(["git", "clone", "-q", str(ROOT), str(there)], check=True)
        cold, again = served_after(there), served_after(there)
    words = "environment, client and help made; packages from the network or this machine's caches"
    return [
        at_most("clean clone to serving the demo", cold, "s", 90, words),
        at_most("the same clone to serving again", again, "s", 3, "deploy/run when nothing has changed"),
    ]


def served_after(clone: Path) -> float:
    """Seconds from `deploy/run` to the first answer."""
    port = free_port()
    own = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("UNDERBOARD_", "VIRTUAL_ENV", "PYTHON"))
    }
    command = [str(clone / "deploy/run"), "--port", str(port)]
    with (clone.parent / "run.log").open("ab") as log:
        began = time.perf_counter()
        # A session of its own, so that its end is the end of all that it started.
        process = subprocess.Popen(
            command,
            stdout=log,
            stderr=log,
            env=own | {"XDG_DATA_HOME": str(clone.parent / "home")},
            start_new_session=True,
        )
    try:
        while time.perf_counter() - began < AT_MOST_S and process.poll() is None:
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}/healthz", timeout=5):
                    return time.perf_counter() - began
            except (urllib.error.URLError, ConnectionError, TimeoutError):
                time.sleep(0.02)
        said = (clone.parent / "run.log").read_text("utf-8", "replace")[-300:]
        raise AssertionError(f"deploy/run did not come to serve: {said}")
    finally:
        os.killpg(process.pid, signal.SIGTERM)
        process.wait(60)
