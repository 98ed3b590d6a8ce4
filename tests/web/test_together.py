"""Rate limits and counters of several workers, in memory that they share."""

from __future__ import annotations

import json
import os
import urllib.error
import urllib.request
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.browser.server import ServerProcess
from tests.store.postgres import Cluster
from underboard.web.limits import Limits, Rule
from underboard.web.tallies import MOST as MOST_TALLIES
from underboard.web.tallies import Tallies
from underboard.web.windows import MOST, ROWS, Windows


def test_processes_that_were_forked_count_together_and_none_is_lost() -> None:
    windows, rule = Windows(shared=True), Rule("try", 200, 3600.0)
    children = []
    for _ in range(4):
        if (pid := os.fork()) == 0:
            limits = Limits(lambda: 1.0, windows=windows)
            os._exit(sum(limits.take(rule, "ada") == 0 for _ in range(60)))
        children.append(pid)
    let_through = [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in children]
    assert sum(let_through) == 200
    assert Limits(lambda: 2.0, windows=windows).take(rule, "ada") == 3599.0


def test_what_forked_processes_count_is_one_sum() -> None:
    tallies = Tallies(shared=True)
    tallies.add("underboard_photos_total")
    children = []
    for number in range(4):
        if (pid := os.fork()) == 0:
            for _ in range(250):
                tallies.add("underboard_pairings_total", result="paired")
                tallies.add("underboard_requests_total", route=f"/{number}")
            os._exit(0)
        children.append(pid)
    for pid in children:
        os.waitpid(pid, 0)
    lines = tallies.text({}).splitlines()
    assert 'underboard_pairings_total{result="paired"} 1000' in lines
    assert [line for line in lines if line.startswith("underboard_requests_total")] == [
        f'underboard_requests_total{{route="/{number}"}} 250' for number in range(4)
    ]


def test_no_labels_can_fill_the_memory() -> None:
    tallies = Tallies()
    for number in range(3000):
        tallies.add("underboard_requests_total", route=str(number))
    tallies.add("underboard_requests_total", route="x" * 300)
    assert tallies.text({}).count("underboard_requests_total{") == MOST_TALLIES


def test_a_worker_that_is_killed_holds_nobody_up() -> None:
    windows, rule = Windows(shared=True), Rule("try", 3, 60.0)
    if (pid := os.fork()) == 0:
        with windows.of("try ada", 0.0):
            os.kill(os.getpid(), 9)
    os.waitpid(pid, 0)
    assert Limits(lambda: 1.0, windows=windows).take(rule, "ada") == 0


def test_a_flood_of_made_up_callers_takes_no_more_memory_and_forgets_the_quietest_first() -> None:
    clock = [0.0]
    windows, rule = Windows(), Rule("try", 2, 1e9)
    limits = Limits(lambda: clock[0], windows=windows)
    for number in range(12 * ROWS):
        clock[0] += 1.0
        limits.take(rule, f"caller {number}")
        if number % 500 == 0:  # one that never stops trying is never forgotten
            assert (limits.take(rule, "guesser") == 0) == (number < 1000)
    assert windows.callers() <= 8 * ROWS


def test_more_tries_than_are_kept_cannot_be_allowed() -> None:
    with pytest.raises(ValueError, match="no more than"):
        Rule("too many", MOST + 1, 60.0)


@pytest.fixture
def two_workers(postgres: Cluster, tmp_path: Path) -> Iterator[ServerProcess]:
    """A server with two workers that counts tries; on PostgreSQL, since SQLite has one writer."""
    server = ServerProcess(tmp_path).without_jobs().with_limits().on(postgres.make("two_workers"))
    try:
        yield server.start("--workers", "2")
    finally:
        server.stop()
        postgres.drop("two_workers")


def test_two_workers_let_a_guesser_try_no_more_often_than_one(two_workers: ServerProcess) -> None:
    wish = json.dumps({"code": "ABCD-EFGH", "device_name": "x", "want": "token"}).encode()
    statuses: Counter[int] = Counter()
    for _ in range(40):  # each on a connection of its own, which either worker may take
        request = urllib.request.Request(f"{two_workers.url}/api/v1/pair", wish)
        request.add_header("Content-Type", "application/json")
        with pytest.raises(urllib.error.HTTPError) as fault:
            urllib.request.urlopen(request, timeout=60)
        statuses[fault.value.code] += 1
        fault.value.close()
    assert statuses == {403: 20, 429: 20}
    # Whichever of them is asked tells what both have counted.
    for _ in range(10):
        with urllib.request.urlopen(f"{two_workers.url}/metrics", timeout=60) as answer:
            lines = answer.read().decode().splitlines()
        assert 'underboard_pairings_total{result="CodeUnknown"} 20' in lines
