"""What three phones disagree about: one double count and one conflict, left open for the reader to settle."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from underboard.exchange.demo.chance import Chance
from underboard.exchange.demo.ground import Ground, Told, observed


def quarrel_ops(ground: Ground, chance: Chance) -> Iterator[Told]:
    """Yield a second count of a board in the last round, and two corrections of another from one revision."""
    round_id, start, counts = ground.last_rounds[-1]
    boards = [board for board in ground.boards if board.station_id in counts]
    twice, disputed = boards[6], boards[11]
    at = start + timedelta(minutes=9)
    set_ = {
        "round_id": round_id,
        "station_id": twice.station_id,
        "state": "counted",
        "count": 6,
        **observed(at, ground.names[2]),
    }
    yield 2, chance.put("slug_count", at, set_)
    for member, count, minutes in ((1, 5, 40), (2, 8, 55)):
        edit = {"state": "counted", "count": count}
        yield (
            member,
            chance.put(
                "slug_count",
                start + timedelta(minutes=minutes),
                edit,
                counts[disputed.station_id],
                base_rev=1,
            ),
        )
