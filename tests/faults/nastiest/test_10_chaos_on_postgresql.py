"""10 of the ten nastiest, on PostgreSQL: see test_10_three_phone_chaos.py."""

from __future__ import annotations

import pytest

from tests.faults import campaign


@pytest.mark.histories
@pytest.mark.timeout(3600)
def test_random_histories_lose_nothing() -> None:
    """A failure names its seed, which `tests/faults/run --database postgres --from SEED --seeds 1` repeats."""
    outcome = campaign.campaign("postgres", 1200, 800, jobs=1)
    assert {verdict.seed: [*verdict.findings[:2], verdict.findings[-1]] for verdict in outcome.failing} == {}
