"""10 of the ten nastiest, on PostgreSQL: see test_10_three_phone_chaos.py."""

from __future__ import annotations

import pytest

from tests.faults import campaign


@pytest.mark.histories
@pytest.mark.timeout(3600)
@pytest.mark.parametrize(("first", "n", "over"), [(0, 20, "http"), (20, 280, "pipe")])
def test_random_histories_lose_nothing(first: int, n: int, over: str) -> None:
    """A failure names its seed, which `tests/faults/run --database postgres --from SEED --seeds 1` repeats."""
    outcome = campaign.campaign("postgres", first, n, jobs=1, over=over)
    assert {verdict.seed: verdict.findings[:2] for verdict in outcome.failing} == {}
