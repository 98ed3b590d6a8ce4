"""Which rounds and boards may speak: valid, undisturbed, walked to the end."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from typing import Final

from underboard.core.warnings.facts import Facts, RoundFact

#: A round that nobody has closed for so long is over all the same.
LEFT_OPEN: Final = timedelta(hours=6)
#: Rounds so much older than the newest one are left alone. A digest forgets rounds after 250 days; what is usual
#: must not change merely because a day has passed, so nothing near that edge is used.
LOOKED_BACK: Final = timedelta(days=215)
#: From so many boards on a place is looked at by itself.
PART_BOARDS: Final = 3


def valid_rounds(facts: Facts, now: datetime, most: int) -> list[RoundFact]:
    """Return the newest valid rounds with a counted board, oldest first; at most `most` of them."""
    found: list[RoundFact] = []
    for one in reversed(facts.rounds):
        if len(found) == most or (found and found[0].day - one.day > LOOKED_BACK):
            break
        over = one.finished or now - one.at >= LEFT_OPEN
        if one.at <= now and one.valid and not one.disturbed and one.boards and over:
            found.append(one)
    return found[::-1]


def counted_by(one: RoundFact, boards: Sequence[str] | None) -> bool:
    """Whether any of the boards (None: any board at all) was counted."""
    return bool(one.boards) if boards is None else any(board in one.boards for board in boards)


def in_use(rounds: Iterable[RoundFact]) -> set[str]:
    """Return every board that was counted in any of the rounds."""
    return {board for one in rounds for board in one.boards}


def part_boards(facts: Facts, day: date) -> dict[str, tuple[str, ...]]:
    """Return the boards of each place in use that has three or more on that day."""
    found: dict[str, list[str]] = defaultdict(list)
    for station in facts.stations.values():
        if station.kind == "slug_board" and station.place_id in facts.places and station.lies_on(day):
            found[str(station.place_id)].append(station.id)
    return {place: tuple(ids) for place, ids in sorted(found.items()) if len(ids) >= PART_BOARDS}
