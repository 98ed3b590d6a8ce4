"""Eight servers on one database, all asked at the same moment, again and again: each slot is run once.

Two hundred slots: `tests/jobs/run`.
"""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask

from tests.jobs.small_plot import NOW, rows, small_plot

ROOT = Path(__file__).resolve().parents[2]
PROCESSES, SLOTS = 8, int(os.environ.get("JOB_SLOTS", "16"))
QUARTER = timedelta(minutes=15)


@contextmanager
def runners(url: str, count: int, *words: str) -> Iterator[list[subprocess.Popen[str]]]:
    """Start processes that wait to be told the time."""
    started = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.jobs.runner", url, *words],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(count)
    ]
    try:
        for one in started:
            assert one.stdout is not None
            assert one.stdout.readline() == "ready\n"
        yield started
    finally:
        for one in started:
            assert one.stdin is not None and one.stdout is not None
            one.kill()
            one.wait()
            one.stdin.close()
            one.stdout.close()


def turn(processes: list[subprocess.Popen[str]], now: datetime) -> int:
    """Tell all of them the time at once; return how many passes they made."""
    for one in processes:
        assert one.stdin is not None
        one.stdin.write(f"{now.isoformat()}\n")
        one.stdin.flush()
    return sum(int(one.stdout.readline()) for one in processes if one.stdout is not None)


@pytest.mark.timeout(600)
def test_eight_servers_run_each_slot_once(database_app: Flask, database_url: str) -> None:
    plot = small_plot()
    plot.read(-1.0, NOW - timedelta(hours=10))
    with runners(database_url, PROCESSES) as processes:
        ran = [turn(processes, NOW + slot * QUARTER) for slot in range(SLOTS)]
    assert ran == [1] * SLOTS
    runs = "SELECT state, attempt, fence, count(*), count(DISTINCT slot) FROM job_run GROUP BY state, attempt, fence"
    assert rows(database_app, runs) == [("done", 1, 1, SLOTS, SLOTS)]
    warnings = plot.warnings()
    assert set(warnings) == {"2026-05-12"} | {(NOW + slot * QUARTER).isoformat() for slot in range(SLOTS)}
    # each quarter's warning was raised once and, but for the last, ended once; the frost was raised once
    assert [body["rev"] for key, body in sorted(warnings.items())] == [1] + [2] * (SLOTS - 1) + [1]
    sent = rows(database_app, "SELECT count(*), count(DISTINCT warning_id) FROM delivery")
    assert sent == [(SLOTS, SLOTS)]
