"""What was done to a record, told from its change log. Pure.

The log keeps of each operation what it set and what that replaced. A value that was kept beside the record (a
conflict) replaced nothing, so what stood at that time is read off the changes around it.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final, Literal

Told = Literal["made", "changed", "kept", "settled", "removed"]
Outcome = Literal["open", "taken", "left", "other"]

_TOLD: Final[Mapping[str, Told]] = {
    "put": "changed", "resolve": "settled", "del": "removed", "conflict": "kept",
}  # fmt: skip
ABSENT: Final = object()


@dataclass(frozen=True, slots=True)
class Logged:
    """One row of the change log. `kind` is put, del, resolve or conflict; `prev` holds what was replaced."""

    rev: int
    op_id: str
    kind: str
    set: Mapping[str, Any]
    prev: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Kept:
    """A conflict: why its operation was kept beside the record, and by which operation it was settled."""

    id: str
    why: str
    resolved_by: str | None


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field, before and after; None is "nothing there". Of a kept operation, `to` is what was meant."""

    name: str
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class Entry:
    """One change as people read it."""

    rev: int
    op_id: str
    what: Told
    fields: tuple[FieldChange, ...]
    why: str | None = None
    outcome: Outcome | None = None
    settled_by: str | None = None
    settles: tuple[str, ...] = field(default=())


def told(page: Sequence[Logged], around: Sequence[Logged], kept: Iterable[Kept]) -> list[Entry]:
    """Tell a page of the log, in its order.

    Parameters
    ----------
    around
        The log's puts and resolves, as far as kept operations of the page need them; any order.
    kept
        Conflicts of the record, open and settled.
    """
    conflicts = {one.id: one for one in kept}
    by_op = {row.op_id: row for row in (*around, *page)}
    written = sorted((row for row in around if row.kind in ("put", "resolve")), key=lambda row: row.rev)
    return [_entry(row, written, conflicts, by_op) for row in page]


def _entry(
    row: Logged, written: Sequence[Logged], conflicts: Mapping[str, Kept], by_op: Mapping[str, Logged]
) -> Entry:
    if row.kind == "conflict":
        changes = tuple(
            FieldChange(name, _standing(name, row.rev, written), value) for name, value in row.set.items()
        )
        found = conflicts.get(row.op_id)
        if found is None:
            return Entry(row.rev, row.op_id, "kept", changes)
        outcome = _outcome(changes, found, by_op)
        return Entry(row.rev, row.op_id, "kept", changes, found.why, outcome, found.resolved_by)
    if row.kind == "del":
        gone = tuple(FieldChange(name, value, None) for name, value in row.prev.items())
        return Entry(row.rev, row.op_id, "removed", gone)
    fields = tuple(
        FieldChange(name, row.prev.get(name), value)
        for name, value in row.set.items()
        if row.prev.get(name) != value
    )
    what = "made" if row.rev == 1 else _TOLD[row.kind]
    settles = tuple(sorted(one.id for one in conflicts.values() if one.resolved_by == row.op_id))
    return Entry(row.rev, row.op_id, what, fields, settles=settles)


def _standing(name: str, rev: int, written: Sequence[Logged]) -> Any:
    """Return the value of a field just before revision `rev`: what the last write before it set."""
    value = None
    for row in written:
        if row.rev >= rev:
            break
        if name in row.set:
            value = row.set[name]
    return value


def _outcome(changes: Sequence[FieldChange], kept: Kept, by_op: Mapping[str, Logged]) -> Outcome:
    """Say how a conflict was settled: what was meant was taken, what stood was left, or something else."""
    if kept.resolved_by is None:
        return "open"
    settling = by_op.get(kept.resolved_by)
    if settling is None or not changes:
        return "left"
    chosen = [settling.set.get(change.name, ABSENT) for change in changes]
    if all(value == change.after for value, change in zip(chosen, changes, strict=True)):
        return "taken"
    stood = [
        value is ABSENT or value == settling.prev.get(change.name)
        for value, change in zip(chosen, changes, strict=True)
    ]
    return "left" if all(stood) else "other"


def returned_id(record_id: str) -> str:
    """Return the id under which a removed record is put back (RFC 9562, 5.5): the same on every phone, so
    that two people who put it back make one record."""
    return str(uuid.uuid5(uuid.UUID(record_id), "returned"))
