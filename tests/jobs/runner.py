"""A server process reduced to its job: told a time, it has one turn at that time and says what it ran.

    python -m tests.jobs.runner URL [POINT]

Reads one time a line; answers with the number of passes. At the marked POINT it kills itself as the kernel does
when memory runs out: nothing is cleaned up.
"""

from __future__ import annotations

import os
import signal
import sys
from datetime import datetime

from tests.conftest import bare_app
from tests.jobs.small_plot import FROZE, QUARTER, TurnedClock
from underboard.core.warnings.facts import HouseFacts
from underboard.jobs.passing import Passing
from underboard.jobs.turns import Turns

POINTS = ("claimed", "gathered", "decided", "locked", "written", "committed")


def main(url: str, point: str | None = None) -> None:
    def mark(reached: str) -> None:
        if reached == point:
            os.kill(os.getpid(), signal.SIGKILL)

    clock = TurnedClock()
    turns = Turns(Passing(lambda _plot: HouseFacts(), (FROZE, QUARTER), mark), clock)
    with bare_app(url).app_context():
        print("ready", flush=True)
        for line in sys.stdin:
            clock.at = datetime.fromisoformat(line.strip())
            print(len(turns.run_due()), flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:])
