"""From records that come from elsewhere to operations, under one import that can be undone as a whole.

An import has an id. It is written as a note of that id in the diary, and each of its records carries it as
`import_id`. Ids of records follow from what they are about, so that taking the same file in again makes nothing
twice; what was removed comes back under the id that every returning record gets.
"""

from __future__ import annotations

import json
import re
import uuid
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

from underboard.core.records import check_set
from underboard.core.records.check import is_id
from underboard.core.sync.envelope import read_op
from underboard.core.sync.past import returned_id
from underboard.core.sync.terms import Op

IMPORT: Final = "import_id"
_UUID: Final = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")
_MOST_RETURNS: Final = 50


@dataclass(frozen=True)
class Coming:
    """One record on its way in. `row` is where it stood in the file, 0 where there are no rows."""

    type: str
    id: str
    set: Mapping[str, Any]
    row: int = 0
    conflicts: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True)
class Refusal:
    """Something that is not taken in, and why, in words for people."""

    row: int
    why: str
    field: str = ""


@dataclass(frozen=True)
class Known:
    """What the plot has under an id: the type and body, and whether it was removed."""

    type: str
    body: Mapping[str, Any]
    deleted: bool


@dataclass
class Sorted:
    """What will be written, what is here already, and what is refused."""

    new: list[Coming] = field(default_factory=list)
    same: list[Coming] = field(default_factory=list)
    refused: list[Refusal] = field(default_factory=list)
    moved: dict[str, str] = field(default_factory=dict)
    """Ids of records that were removed here, and under which they come back."""

    def counts(self) -> dict[str, int]:
        return dict(Counter(one.type for one in self.new))


Look = Callable[[Sequence[str]], Mapping[str, Known]]
"""Tells what the plot has under ids."""


def sort_out(coming: Iterable[Coming], look: Look) -> Sorted:
    """Tell new records from those that are here; what is here with other values is never overwritten.

    The check of a record is the same one as for a phone's push.
    """
    found = Sorted()
    waiting: list[Coming] = []
    for one in coming:
        faults = [Refusal(one.row, detail, name) for name, detail in _faults(one)]
        found.refused += faults
        if not faults:
            waiting.append(one)
    for _ in range(_MOST_RETURNS):
        known = look([one.id for one in waiting])
        again: list[Coming] = []
        for one in waiting:
            _place(one, known.get(one.id), found, again)
        if not again:
            break
        waiting = again
    if found.moved:
        found.new = [_following(one, found.moved) for one in found.new]
    return found


def _faults(one: Coming) -> list[tuple[str, str]]:
    if not is_id(one.id):
        return [("id", "the id of a record: a UUID in lower case")]
    # What a phone may have made in two steps is fine too: see `_first_of`.
    faults = check_set(one.type, one.set, creating=True) and check_set(
        one.type, _first_of(one), creating=True
    )
    return [(fault.pointer.removeprefix("/set/"), fault.detail) for fault in faults]


def _place(one: Coming, there: Known | None, found: Sorted, again: list[Coming]) -> None:
    if there is None:
        found.new.append(one)
    elif there.deleted:
        found.moved[one.id] = returned_id(one.id)
        again.append(replace(one, id=found.moved[one.id]))
    elif there.type == one.type and _is_same(one.set, there.body):
        found.same.append(one)
    else:
        words = "This is here already with other values, which are kept: change it in the app if the file is right."
        found.refused.append(Refusal(one.row, words))


def _following(one: Coming, moved: Mapping[str, str]) -> Coming:
    """Let references follow to records that come back under another id."""

    def last(found: re.Match[str]) -> str:
        id_ = found.group()
        while id_ in moved:
            id_ = moved[id_]
        return id_

    return replace(one, set=json.loads(_UUID.sub(last, json.dumps(one.set))))


def _is_same(set_: Mapping[str, Any], body: Mapping[str, Any]) -> bool:
    return all(body.get(name) == value for name, value in set_.items() if name not in (IMPORT, "round_id"))


def operations(plot_id: str, coming: Sequence[Coming]) -> list[Op]:
    """Return the operations that write records; open conflicts come as second operations that clash as before."""
    ops: list[Op] = []
    for one in coming:
        place = uuid.uuid5(uuid.UUID(plot_id), one.id)
        ops += _made(place, one)
        ops += [
            _op(
                place,
                one,
                conflict.get("set") or {},
                f"conflict-{number}",
                delete=conflict.get("why") == "delete-vs-edit",
            )
            for number, conflict in enumerate(one.conflicts)
        ]
    return ops


def _made(place: uuid.UUID, one: Coming) -> list[Op]:
    first = _first_of(one)
    made = _op(place, one, first, "made")
    if first == one.set:
        return [made]
    rest = {name: value for name, value in one.set.items() if first.get(name) != value}
    return [made, _op(place, one, rest, "edited", after=made.op_id)]


def _first_of(one: Coming) -> Mapping[str, Any]:
    """Return what a record may be made with: a count whose state and number only met by later edits needs two steps."""
    if one.type == "slug_count" and check_set(one.type, one.set, creating=True):
        return {**one.set, "state": "spoiled"}
    return one.set


def _op(
    place: uuid.UUID,
    one: Coming,
    set_: Mapping[str, Any],
    what: str,
    *,
    delete: bool = False,
    after: str = "",
) -> Op:
    said = json.dumps([what, one.type, set_], sort_keys=True)
    raw: dict[str, Any] = {"op_id": str(uuid.uuid5(place, said)), "id": one.id, "base_rev": 1 if after else 0}
    raw |= {"after": [after]} if after else {}
    raw |= {"kind": "del"} if delete else {"kind": "put", "type": one.type, "set": dict(set_)}
    found = read_op(raw)
    if not isinstance(found, Op):
        raise ValueError(f"{one.id}: {found.faults}")
    return found


def with_import(coming: Iterable[Coming], import_id: str) -> list[Coming]:
    """Mark records as of one import."""
    return [
        Coming(one.type, one.id, {**one.set, IMPORT: import_id}, one.row, one.conflicts) for one in coming
    ]


def import_note(import_id: str, name: str, found: Sorted, at: str, who: str) -> Coming:
    """Return the note that tells of an import in the diary, under the import's own id."""
    told = ", ".join(
        f"{number} × {kind.replace('_', ' ')}" for kind, number in sorted(found.counts().items())
    )
    words = f"Taken in from {name[:120]}: {told or 'nothing new'}."
    if found.same:
        words += f" {len(found.same)} were here already."
    if found.refused:
        words += f" {len(found.refused)} refused."
    set_ = {"observed_at": at, "text": words, "observer": who[:80], IMPORT: import_id}
    return Coming("note", import_id, set_)


def renamed(records: Sequence[Mapping[str, Any]], old_plot: str, new_plot: str) -> list[Mapping[str, Any]]:
    """Give every record an id of the new plot, and every mention of one in any field with it.

    The same bundle into the same plot gives the same ids.
    """
    names = {one["id"]: str(uuid.uuid5(uuid.UUID(new_plot), one["id"])) for one in records}
    names[old_plot] = new_plot
    text = _UUID.sub(
        lambda found: names.get(found.group(), found.group()), json.dumps(records, ensure_ascii=False)
    )
    changed: list[Mapping[str, Any]] = json.loads(text)
    return changed


def of_bundle(records: Iterable[Mapping[str, Any]]) -> list[Coming]:
    """Return the records of a bundle as they come in."""
    return [
        Coming(one["type"], one["id"], one["body"], 0, tuple(one.get("conflicts") or ())) for one in records
    ]
