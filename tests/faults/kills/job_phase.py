"""The server is killed while its scheduled job looks at a plot: a pass is there wholly or not at all, and the next
server takes over what the dead one held.
"""

from __future__ import annotations

import json
import os
import signal
import time
import uuid
from collections import Counter
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from sqlalchemy import update

from tests.browser.server import holds_on
from tests.browser.small_plot import push
from tests.browser.warned import OPEN_AIR, TUNNEL_METER, new_warned_plot, reading
from tests.faults.kills.server_phase import AT, RUNNING, Serving
from underboard.store.tables import JobRunRow

COUNTS = 400
RAISED = Counter({("reading_implausible", 1): 2})
"""By which rule and in which revision: two thermometers were read and not reset."""


class Working(Serving):
    """A new plot each round, due at the start of the server; the kill falls within its pass."""

    name = "job"

    span = 0.8
    due = ""

    def filled(self) -> str:
        """A plot with much to read and something to say, that no pass has seen."""
        plot, self.headers = new_warned_plot(self.server)
        yesterday = (datetime.now(UTC) - timedelta(days=1)).isoformat(timespec="seconds")
        count = {"station_id": str(uuid.uuid4()), "state": "counted", "count": 3, "observed_at": AT}
        push(
            self.server,
            self.headers,
            plot,
            [{"type": "slug_count", "id": str(uuid.uuid4()), "set": count} for _ in range(COUNTS)],
        )
        odd = [
            reading(plot, f"1{n}", station, yesterday, 12.0)
            for n, station in enumerate((OPEN_AIR, TUNNEL_METER))
        ]
        for one in odd:
            one["set"]["reset_done"] = False
        push(self.server, self.headers, plot, odd)
        return plot

    def round(self, part: float) -> bool:
        """Kill after `part` of a pass, counted from its claim. True when the pass was not over."""
        self.due = self.filled()
        self.server.stop(signal.SIGKILL)
        self.server.launch()
        self.until(self.held, "the job does not begin")
        pids = self.server.pids()  # beforehand, so that the kill itself takes no time
        time.sleep(part * self.span)
        for pid in pids:
            os.kill(pid, signal.SIGKILL)
        self.server.stop(signal.SIGKILL)
        self.until(lambda: not any(map(holds_on, pids)), f"something is left of {pids}")
        inside = not self.done()
        self.span *= 1.1 if inside else 0.8  # a pass takes as long as the machine lets it
        self.in_pass += inside
        summaries = self._rows(f"SELECT seq FROM summary WHERE plot_id = '{self.due}'")
        assert len(summaries) == (0 if inside else 1), "half a pass"
        assert self.warnings() == (Counter() if inside else RAISED), f"half a pass: {self.warnings()}"
        with self.engine.begin() as connection:  # two minutes later
            over = datetime.now(UTC) - timedelta(seconds=1)
            connection.execute(update(JobRunRow).where(*RUNNING).values(lease_until=over))
        self.server.start(seconds=120)
        self.until(self.done, "nobody took over what the dead server held")
        assert self.runs() == [("done", 2 if inside else 1)]
        assert self.warnings() == RAISED
        self.is_right()
        return inside

    def runs(self) -> list[tuple[str, int]]:
        """State and attempts of every run for the plot."""
        found = self._rows(
            f"SELECT state, attempt FROM job_run WHERE job = 'warn' AND plot_id = '{self.due}'"
        )
        return [(str(state), int(attempt)) for state, attempt in found]

    def held(self) -> bool:
        return any(state == "running" for state, _ in self.runs())

    def done(self) -> bool:
        return any(state == "done" for state, _ in self.runs())

    def until(self, holds: Callable[[], bool], complaint: str) -> None:
        end = time.monotonic() + 120
        while not holds():
            assert time.monotonic() < end, complaint
            time.sleep(0.002)

    def warnings(self) -> Counter[tuple[str, int]]:
        """What was raised for the plot: how many by which rule, and how often each was written."""
        found = self._rows(f"SELECT body, rev FROM record WHERE plot_id = '{self.due}' AND type = 'warning'")
        return Counter((str(json.loads(body)["rule"]), int(rev)) for body, rev in found)

    def is_right(self) -> None:
        """I4, I5: every revision has its change, and no number is above the counter's or given twice."""
        changes = dict(self._rows("SELECT record_id, count(*) FROM change GROUP BY record_id"))
        assert dict(self._rows("SELECT id, rev FROM record")) == changes
        numbers = [seq for (seq,) in self._rows(f"SELECT seq FROM record WHERE plot_id = '{self.due}'")]
        ((counter,),) = self._rows(f"SELECT seq FROM sync_clock WHERE plot_id = '{self.due}'")
        assert len(set(numbers)) == len(numbers) and max(numbers) <= counter
