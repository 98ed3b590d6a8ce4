"""A small crowd of phones while the database restarts, the disk fills, the job runs and the server is killed.

As large as a village: `tests/faults/crowd --phones 200 --seconds 60`, on both databases.
"""

from __future__ import annotations

import pytest

from tests.faults.crowd import MOST_GROWTH_MB, crowd, grown


@pytest.mark.timeout(900)  # a database and a server that stop and start, on a machine that is busy
@pytest.mark.parametrize(("database", "seconds"), [("postgres", 4), ("sqlite", 6)])
def test_nothing_acknowledged_is_lost_and_every_answer_is_clear(database: str, seconds: float) -> None:
    """PostgreSQL really restarts; the file of SQLite lies on the disk that fills, and another program locks it."""
    assert crowd(database, count=12, seconds=seconds, seed=1) == []


def test_memory_that_grows_is_named_and_memory_nobody_looked_at_too() -> None:
    assert grown(150.0, [150.0, 149.0 + MOST_GROWTH_MB, 151.0]) == []
    assert grown(150.0, [150.0, 151.0 + MOST_GROWTH_MB, 151.0]) == [
        f"memory grew from 150 to {151 + MOST_GROWTH_MB} MB"
    ]
    assert grown(0.0, []) == grown(150.0, []) == ["its memory was not looked at"]
