"""How many times the usual: held against simulated plots whose truth is known, and against what must hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from underboard.core.agronomy.surge.times_usual import times_usual
from underboard.core.errors import InputFault

BOARDS = 12


def plot(
    chance: np.random.Generator, world: str, mean: float, n: int, times: float
) -> list[list[int | None]]:
    """Rounds of a made-up plot, the newest with `times` the usual: boards drawn anew (A) or with a character (B)."""
    if world == "A":
        rises = np.r_[np.ones(n), times][:, None]
        counts = chance.poisson(chance.gamma(0.8, mean / 0.8, (n + 1, BOARDS)) * rises)
    else:
        activity = chance.gamma(1 / 0.09, 0.09, n + 1)
        activity[-1] *= times
        counts = chance.poisson(mean * activity[:, None] * chance.gamma(0.8, 1 / 0.8, BOARDS))
    gone = chance.random(counts.shape) < 0.1
    return [
        [None if lost else int(x) for x, lost in zip(row, away, strict=True)]
        for row, away in zip(counts, gone, strict=True)
    ]


@pytest.mark.parametrize("world", ["A", "B"])
@pytest.mark.parametrize("times", [1.0, 3.0])
def test_the_interval_holds_the_true_factor(world: str, times: float) -> None:
    chance = np.random.default_rng(11)
    held = runs = 0
    for mean in (1, 2, 4):
        for n in (8, 20):
            for _ in range(60):
                answer = times_usual(plot(chance, world, mean, n, times))
                assert answer.low is not None
                runs += 1
                held += answer.low <= times and (answer.high is None or times <= answer.high)
    # 95 % of 360, three standard errors either side.
    assert 0.915 <= held / runs <= 0.985


def test_a_quiet_newest_round_is_seldom_unusual() -> None:
    chance = np.random.default_rng(12)
    small = [times_usual(plot(chance, "B", 2, 20, 1.0)).p_so_many for _ in range(300)]
    assert all(p is not None for p in small)
    # Nominal 5 %; with 300 runs three standard errors reach from 1.2 to 8.8 %.
    assert 0.012 <= sum(p is not None and p < 0.05 for p in small) / 300 <= 0.088


ROWS = st.lists(
    st.lists(st.one_of(st.none(), st.integers(0, 40)), min_size=4, max_size=4), min_size=6, max_size=14
)


@settings(max_examples=60, deadline=None)
@given(ROWS, st.integers(1, 60))
def test_more_slugs_mean_more_times_the_usual(rows: list[list[int | None]], more: int) -> None:
    fewer = times_usual(rows)
    if fewer.times is None or all(count is None for count in rows[-1]):
        return
    at = next(i for i, count in enumerate(rows[-1]) if count is not None)
    raised = [*rows[:-1], [*rows[-1][:at], (rows[-1][at] or 0) + more, *rows[-1][at + 1 :]]]
    answer = times_usual(raised)
    assert answer.times is not None and answer.low is not None and fewer.low is not None
    assert answer.expected == fewer.expected and answer.times > fewer.times
    assert answer.low >= fewer.low * (1 - 1e-9)
    assert (answer.p_so_many or 0) <= (fewer.p_so_many or 0) + 1e-12
    assert answer.low <= answer.times <= (answer.high or float("inf"))


@settings(max_examples=30, deadline=None)
@given(ROWS, st.permutations(range(4)))
def test_the_order_of_boards_does_not_matter(rows: list[list[int | None]], order: list[int]) -> None:
    one, other = times_usual(rows), times_usual([[row[i] for i in order] for row in rows])
    assert (one.times is None) == (other.times is None)
    if one.times is not None:
        assert other.times == pytest.approx(one.times, rel=1e-6)
        assert other.low == pytest.approx(one.low, rel=1e-5, abs=1e-9)


def test_too_few_rounds_and_unlike_rounds() -> None:
    short = times_usual([[1, 2]] * 5)
    assert short.times is None and short.why_not == (
        "There must be 5 earlier rounds; 5 have counts, the newest included.",
    )
    assert "roughly" in times_usual([[1, 2]] * 6).cautions[0]
    with pytest.raises(InputFault) as fault:
        times_usual([[1, 2], [1]])
    assert fault.value.pointer == "/rounds/1"
