"""Rows of cost: memory, processor and disk of a server for one plot, at rest and at its busiest."""

from __future__ import annotations

import gzip
import http.client
import json
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory
from threading import Event, Thread
from typing import Any

from tests.bench.rows_server import op
from tests.bench.table import Row, at_most, info
from tests.browser.server import ServerProcess

PUSHES, BATCH, PHONES = 20, 500, 4
REST_S = 30.0
BOUND_MB = 256
OBSERVATIONS_A_YEAR = 12_000


def cost_rows() -> list[Row]:
    """Start on the invented plot as anybody would, wait for its first pass, let four phones push 10,000 records."""
    with TemporaryDirectory() as folder:
        data = Path(folder)
        server = ServerProcess(data)
        plot = server.run("demo")["plot_id"]
        server.start("--no-jobs")
        bare, light = memory(server), loaded(server)
        server.stop()
        server.start()
        try:
            settle(server)
            at_rest, heavy = memory(server), loaded(server)
            busy = processor_s(server)
            time.sleep(REST_S)
            a_day = (processor_s(server) - busy) / REST_S * 86_400
            before = disk(data)
            with Watched(server) as watched:
                work_s, took = push_all(server, plot)
            grown = (disk(data) - before) / (PUSHES * BATCH)
            pulled = len(server.records(plot, server.bearer(plot)))
        finally:
            server.stop()
    assert pulled >= PUSHES * BATCH, f"the server has {pulled} records: these rows would be void"
    words = f"{PHONES} phones pushed {PUSHES * BATCH:,} records in {took:.1f} s"
    return [
        at_most("memory of a server that only answers, at rest", bare, "MB", BOUND_MB, f"loaded: {light}"),
        at_most("memory at rest after looking for warnings", at_rest, "MB", BOUND_MB, f"loaded: {heavy}"),
        at_most("memory at its busiest", watched.most_mb, "MB", BOUND_MB, words),
        info(
            "processor at rest, a day", a_day, "s", f"from {REST_S:.0f} s; looks each minute, sends each half"
        ),
        info("processor for 1,000 records pushed over HTTP", work_s * 1000 / (PUSHES * BATCH), "s", words),
        info(
            "disk of a plot's year", grown * OBSERVATIONS_A_YEAR / 1e6, "MB", f"{grown:,.0f} bytes a record"
        ),
    ]


def settle(server: ServerProcess) -> None:
    """Wait until the scheduled work has begun and made its first pass, and nothing runs any more."""
    deadline, last = time.monotonic() + 90, -1.0
    while time.monotonic() < deadline:
        time.sleep(5)
        busy = processor_s(server)
        if busy - last < 0.05:
            return
        last = busy


def push_all(server: ServerProcess, plot: str) -> tuple[float, float]:
    """Push everything from some phones at once; return the server's processor seconds and those on the clock."""
    bearer = server.bearer(plot)
    epoch = server.call("GET", f"/api/v1/sync/pull?plot={plot}&limit=1", headers=bearer)["epoch"]
    frame = {"protocol": 1, "schema": 1, "plot": plot, "epoch": epoch}
    bodies = [
        gzip.compress(json.dumps({**frame, "ops": [op(n, epoch) for n in range(BATCH)]}).encode(), 1)
        for _ in range(PUSHES)
    ]
    sent = {"Content-Type": "application/json", "Content-Encoding": "gzip", **bearer}

    def push(body: bytes) -> set[str]:
        connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=120)
        connection.request("POST", "/api/v1/sync/push", body, sent)
        answer: dict[str, Any] = json.loads(connection.getresponse().read())
        connection.close()
        return {one["status"] for one in answer["results"]}

    busy, began = processor_s(server), time.perf_counter()
    with ThreadPoolExecutor(PHONES) as phones:
        assert set().union(*phones.map(push, bodies)) == {"applied"}
    return processor_s(server) - busy, time.perf_counter() - began


def memory(server: ServerProcess) -> float:
    """Megabytes that the server's processes hold; what two of them share counts once (proportional set size)."""
    return sum(_kilobytes(Path(f"/proc/{pid}/smaps_rollup"), "Pss:") for pid in server.pids()) / 1000


class Watched:
    """The most memory that was held at any look, twenty looks a second."""

    def __init__(self, server: ServerProcess) -> None:
        self._server = server
        self._stop = Event()
        self._thread = Thread(target=self._look, daemon=True)
        self.most_mb = 0.0

    def __enter__(self) -> Watched:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()

    def _look(self) -> None:
        while not self._stop.wait(0.05):
            self.most_mb = max(self.most_mb, memory(self._server))


def _kilobytes(file: Path, name: str) -> int:
    (line,) = (line for line in file.read_text().splitlines() if line.startswith(name))
    return int(line.split()[1])


def loaded(server: ServerProcess) -> str:
    """Which of the heavy libraries are in the server's memory."""
    maps = "".join(Path(f"/proc/{pid}/maps").read_text() for pid in server.pids())
    return (
        ", ".join(name for name in ("numpy", "scipy", "PIL") if f"/{name}/" in maps)
        or "none of numpy, scipy, PIL"
    )


def processor_s(server: ServerProcess) -> float:
    """Processor seconds of all threads of the server's processes so far."""
    busy_ns = 0
    for pid in server.pids():
        for file in Path(f"/proc/{pid}/task").glob("*/schedstat"):
            busy_ns += int(file.read_text().split()[0])
    return busy_ns / 1e9


def disk(data: Path) -> int:
    """Bytes of the database, its log counted where the rows are still in it."""
    return sum(
        file.stat().st_size for file in data.glob("underboard.sqlite3*") if not file.name.endswith("-shm")
    )
