"""Judging only the newest rounds gives the alarms of the whole series, where none came before."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from underboard.core.agronomy.surge.boards import watch_boards


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.floats(0.5, 6), st.floats(0.5, 4), st.integers(1, 4))
def test_the_newest_alarms_are_those_of_the_whole_series(
    seed: int, mean: float, rise: float, newest: int
) -> None:
    chance = np.random.default_rng(seed)
    rows: list[list[int | None]] = [[int(x) for x in row] for row in chance.poisson(mean, (18, 6))]
    rows[-1] = [int(x) for x in chance.poisson(mean * rise, 6)]
    rows[5][2] = rows[-2][0] = None
    whole, judged = watch_boards(rows), watch_boards(rows, newest=newest)
    assert [point.i for point in judged] == [point.i for point in whole[-newest:]]
    if any(point.alarm for point in whole[:-newest]):
        return
    assert [point.alarm for point in judged] == [point.alarm for point in whole[-newest:]]
    for one, other in zip(judged, whole[-newest:], strict=True):
        assert (one.count, one.expected) == (other.count, other.expected)
        assert one.limit >= other.limit
        if one.count > (one.expected or 0):
            assert one.limit == other.limit
