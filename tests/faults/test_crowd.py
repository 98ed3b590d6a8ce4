"""A small crowd of phones while the database restarts, the disk fills, the job runs and the server is killed.

As large as a village: `tests/faults/crowd --phones 200 --seconds 60`, on both databases.
"""

from __future__ import annotations

import pytest

from tests.faults.crowd import crowd


@pytest.mark.timeout(900)  # a database and a server that stop and start, on a machine that is busy
def test_nothing_acknowledged_is_lost_and_every_answer_is_clear() -> None:
    """On PostgreSQL, which really restarts; SQLite's disk: test_broken_disks.py."""
    assert crowd("postgres", count=12, seconds=4, seed=1) == []
