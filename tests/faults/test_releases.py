"""Every kept release and this one: old page at the new server, new page at the old server, and forward again.

More by hand: `tests/faults/releases --old COMMIT`.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Playwright

from tests.faults.old_release import KEPT, ROOT, unpacked
from tests.faults.releases import Move, story

RELEASED = [int(file.name.partition(".")[0]) for file in sorted(KEPT.iterdir())]


def test_the_last_release_before_each_step_of_the_phones_database_is_kept() -> None:
    """A new step asks for its release; `tests/faults/releases --keep VERSION` makes it."""
    versions = sorted(int(file.stem) for file in (ROOT / "fixtures" / "phone_stores").glob("*.json"))
    assert versions[:-1] == RELEASED


@pytest.mark.browser
@pytest.mark.timeout(900)
@pytest.mark.parametrize("version", RELEASED)
def test_what_was_counted_outlasts_every_meeting_of_an_old_and_a_new_release(
    playwright: Playwright, tmp_path: Path, version: int
) -> None:
    told: list[str] = []
    move = Move(playwright, tmp_path, unpacked(version, tmp_path))
    try:
        story(move, told.append)
    finally:
        move.phone.close()
        move.now.stop()
    assert len(told) == 8, told
