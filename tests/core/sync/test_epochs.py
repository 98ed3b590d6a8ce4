"""The name of a history tells on which one it stands, and is new each time."""

from __future__ import annotations

import uuid

from underboard.core.sync.epochs import epoch_after, stands_on


def test_a_history_knows_the_one_it_began_with_and_no_other() -> None:
    first = str(uuid.uuid4())
    second = epoch_after(first, uuid.uuid4())
    third = epoch_after(second, uuid.uuid4())
    again = epoch_after(first, uuid.uuid4())
    assert len({first, second, third, again}) == 4 and str(uuid.UUID(third)) == third
    assert stands_on(second, first) and stands_on(again, first) and stands_on(third, second)
    assert not stands_on(third, first) and not stands_on(again, second) and not stands_on(second, second)


def test_a_name_of_an_older_release_stands_on_nothing_that_is_known() -> None:
    assert not stands_on("7c9e6679-7425-40de-944b-e07fc1f90ae7", "550e8400-e29b-41d4-a716-446655440000")
    assert not stands_on("", "e1")
