"""The ticker asks, again and again, whatever becomes of a turn; it decides nothing."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from datetime import timedelta

import pytest

from tests.jobs.small_plot import TurnedClock
from underboard.jobs import scheduler
from underboard.jobs.scheduler import Ticker, Work


def wait_until(true: Callable[[], bool], seconds: float = 120) -> None:
    deadline = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < deadline
        time.sleep(0.02)


def test_it_asks_soon_and_again_although_a_turn_fails(capfd: pytest.CaptureFixture[str]) -> None:
    asked: list[str] = []

    def fail() -> None:
        asked.append("bad")
        raise ZeroDivisionError

    ticker = Ticker([Work("good", 1, lambda: asked.append("good")), Work("bad", 1, fail)])
    ticker.start()
    try:
        wait_until(lambda: asked.count("good") >= 2 and asked.count("bad") >= 2)
    finally:
        ticker.stop()
    count = len(asked)
    time.sleep(1.2)
    assert len(asked) == count
    said = capfd.readouterr()
    assert "turn failed" in said.out + said.err


def test_a_turn_that_takes_long_is_not_started_a_second_time() -> None:
    running, most, turns = [0], [0], [0]
    lock = threading.Lock()

    def slow() -> None:
        with lock:
            running[0] += 1
            turns[0] += 1
            most[0] = max(most[0], running[0])
        time.sleep(2.5)
        with lock:
            running[0] -= 1

    ticker = Ticker([Work("slow", 1, slow)])
    ticker.start()
    wait_until(lambda: turns[0] >= 2)
    ticker.stop()
    assert (most, running) == ([1], [0])


def test_a_wall_clock_put_back_lets_everybody_have_a_turn_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """As after an hour back: the next turn would come an hour late."""
    monkeypatch.setattr(scheduler, "WATCH_S", 0.05)
    clock = TurnedClock()
    asked: list[int] = []
    ticker = Ticker([Work("hourly", 3600, lambda: asked.append(1))], clock)
    ticker.start()
    try:
        wait_until(lambda: len(asked) == 1)
        time.sleep(0.3)
        assert len(asked) == 1
        clock.at -= timedelta(hours=1)
        wait_until(lambda: len(asked) == 2)
        time.sleep(0.3)
        assert len(asked) == 2
    finally:
        ticker.stop()
