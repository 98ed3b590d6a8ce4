"""Kept answers: made once a key even when many ask at once, never more than so many, no failure kept."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier, Event

import pytest

from underboard.web.kept_answers import Answer, KeptAnswers


def counted(made: list[int], value: int) -> Callable[[], Answer]:
    def make() -> Answer:
        made.append(value)
        return {"value": value}

    return make


def test_an_answer_is_made_once_a_key() -> None:
    kept, made = KeptAnswers(), list[int]()
    assert kept.get(("plot", 1), counted(made, 1)) == {"value": 1}
    assert kept.get(("plot", 1), counted(made, 2)) == {"value": 1}
    assert kept.get(("plot", 2), counted(made, 3)) == {"value": 3}
    assert made == [1, 3]


def test_the_one_not_asked_for_the_longest_goes_first() -> None:
    kept, made = KeptAnswers(most=2), list[int]()
    for value in (1, 2, 1, 3):
        kept.get(value, counted(made, value))
    assert len(kept) == 2
    kept.get(1, counted(made, 10))
    kept.get(2, counted(made, 20))
    assert made == [1, 2, 3, 20]


def test_eight_threads_asking_at_once_get_one_answer() -> None:
    kept, made, together = KeptAnswers(), list[int](), Barrier(8)
    slow = Event()

    def make() -> Answer:
        made.append(1)
        slow.wait(0.1)
        return {"value": len(made)}

    def ask(_: int) -> Answer:
        together.wait(120)
        return kept.get("key", make)

    with ThreadPoolExecutor(8) as pool:
        found = list(pool.map(ask, range(8)))
    assert made == [1]
    assert all(one is found[0] for one in found)


def test_another_key_does_not_wait() -> None:
    kept, go, begun = KeptAnswers(), Event(), Event()

    def waits() -> Answer:
        begun.set()
        assert go.wait(120)
        return {"value": 1}

    with ThreadPoolExecutor(1) as pool:
        first = pool.submit(kept.get, "slow", waits)
        assert begun.wait(120)
        assert kept.get("quick", lambda: {"value": 2}) == {"value": 2}
        go.set()
        assert first.result(120) == {"value": 1}


def test_a_failure_is_not_kept() -> None:
    kept = KeptAnswers()

    def fails() -> Answer:
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        kept.get("key", fails)
    assert len(kept) == 0
    assert kept.get("key", lambda: {"value": 1}) == {"value": 1}
