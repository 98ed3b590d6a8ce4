"""Of all counts of one board in one round: which one stands, what it says, and what it could be at worst."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

NUMBERED = ("counted", "none_found")
Body = Mapping[str, Any]


def standing(records: Sequence[Body]) -> tuple[Body | None, bool]:
    """Of all counts of one board in one round, return the one that stands, and whether it is a double count.

    One that somebody settled (`stands`) wins; those set aside do not count; two that are left are a double
    count and none stands.
    """
    settled = [record for record in records if record["body"].get("stands")]
    if len(settled) == 1:
        return settled[0], False
    left = [record for record in records if not record["body"].get("set_aside")]
    if len(left) == 1:
        return left[0], False
    numbers = [record for record in left if record["body"].get("state") in NUMBERED]
    # "Could not turn" beside a number is no dispute: somebody else could.
    if len(numbers) == 1:
        return numbers[0], False
    return (None, True) if numbers else (left[0] if left else None, False)


def all_kept(records: Sequence[Body]) -> bool:
    """Whether a person said that all numbers of a double count are to be kept: nothing is left to settle."""
    left = [record for record in records if not record["body"].get("set_aside")]
    return len(left) > 1 and all(record["body"].get("stands") for record in left)


def number_of(record: Body) -> int | None:
    """Return the slugs a record says were there, None when nobody could look."""
    body = record["body"]
    if body.get("state") == "none_found":
        return 0
    return int(body["count"]) if body.get("state") == "counted" and body.get("count") is not None else None


def worst_of(records: Iterable[Body]) -> int:
    """Return the highest number that any record or open conflict says."""
    numbers = [0]
    for record in records:
        numbers.append(number_of(record) or 0)
        for conflict in record.get("conflicts") or ():
            said = conflict["set"].get("count")
            numbers.append(int(said) if isinstance(said, int) else 0)
    return max(numbers)
