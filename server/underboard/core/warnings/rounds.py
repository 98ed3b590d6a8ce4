"""Rounds of the boards as facts: of several counts of one board, what stands, and what is disputed at its worst."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from datetime import date
from typing import Any

from underboard.core.records.counted import NUMBERED, number_of, standing, worst_of
from underboard.core.records.kinds import read_instant
from underboard.core.warnings.facts import BoardCount, RoundFact

Entry = Mapping[str, Any]


def rounds_of(rounds: Mapping[str, Entry], counts: Mapping[str, Entry]) -> tuple[RoundFact, ...]:
    """Return the rounds with what was found under each board, oldest first."""
    of_round: dict[str, dict[str, list[tuple[str, Entry]]]] = defaultdict(lambda: defaultdict(list))
    for id_, count in counts.items():
        if count["r"] in rounds and count.get("s"):
            of_round[count["r"]][count["s"]].append((id_, count))
    found = (_round(id_, e, of_round[id_]) for id_, e in rounds.items())
    return tuple(sorted(found, key=lambda one: (one.at, one.id)))


def _round(id_: str, e: Entry, by_station: Mapping[str, list[tuple[str, Entry]]]) -> RoundFact:
    boards: dict[str, BoardCount] = {}
    states: list[str | None] = []
    for station_id, found in sorted(by_station.items()):
        known = _board(sorted(found, key=lambda pair: pair[0]))
        if isinstance(known, BoardCount):
            boards[station_id] = known
        else:
            states.append(known)
    return RoundFact(
        id=id_,
        at=read_instant(e["at"]),
        day=date.fromisoformat(e["day"]),
        finished=e["done"],
        valid=e["valid"],
        not_valid_reason=e["why"],
        surface=e["surface"],
        disturbed=e["disturbed"],
        night_low_c=e["low"],
        boards=boards,
        not_turned=states.count("not_turned"),
        spoiled=states.count("spoiled"),
    )


def _board(found: list[tuple[str, Entry]]) -> BoardCount | str | None:
    """What a board's counts of one round say: a number or span, or the state in which nobody could look."""
    if len(found) == 1 and "rivals" not in found[0][1]:  # nearly always
        alone = found[0][1]
        number = 0 if alone.get("state") == "none_found" else alone.get("n")
        if number is None or alone.get("state") not in NUMBERED:
            return str(alone.get("state"))
        return BoardCount(number, number, False)
    records: list[Mapping[str, Any]] = [
        {
            "body": {
                "state": e.get("state"),
                "count": e.get("n"),
                "stands": e.get("stands"),
                "set_aside": e.get("aside"),
            },
            "conflicts": [{"set": rival} for rival in e.get("rivals") or ()],
        }
        for _, e in found
    ]
    stands, double = standing(records)
    rivals = any(record["conflicts"] for record in records)
    if not double and not rivals:
        number = None if stands is None else number_of(stands)
        if number is None:
            return None if stands is None else stands["body"]["state"]
        return BoardCount(number, number, False)
    numbers = [n for n in (number_of(record) for record in records) if n is not None]
    said = [r["count"] for _, e in found for r in e.get("rivals") or () if isinstance(r["count"], int)]
    if not numbers and not said:
        return None
    return BoardCount(min(numbers + said), worst_of(records), True)
