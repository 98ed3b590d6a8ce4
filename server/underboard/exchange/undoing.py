"""Taking back a whole import: which of its records go, and which stay because somebody has worked on them since."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

from underboard.exchange.incoming import IMPORT

_UUID: Final = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")


Why = Literal["conflict", "edited", "named"]


@dataclass(frozen=True)
class Stay:
    """A record that an undo leaves: it has a conflict that is open, was edited since, or is named by what stays."""

    id: str
    type: str
    why: Why
    label: str
    observed_at: str | None


@dataclass(frozen=True)
class Undo:
    """What is removed as (id, revision), and what stays, in the order of ids."""

    import_id: str
    removed: tuple[tuple[str, int], ...]
    stays: tuple[Stay, ...]

    @property
    def kept(self) -> tuple[str, ...]:
        return tuple(one.id for one in self.stays)

    def operations(self, plot_id: str) -> Iterator[dict[str, Any]]:
        """Give the deletions, each seen at the revision that was looked at: an edit that comes between wins."""
        for record_id, rev in self.removed:
            op_id = uuid.uuid5(uuid.UUID(plot_id), f"undo/{self.import_id}/{record_id}/{rev}")
            yield {"op_id": str(op_id), "kind": "del", "id": record_id, "base_rev": rev}

    def but_late(self, late: Collection[str], living: Sequence[Mapping[str, Any]]) -> Undo:
        """Give what became of it when somebody edited the records `late` between the look and the deletions."""
        stays = [_stay(one, "edited") for one in living if one["id"] in late]
        removed = tuple(pair for pair in self.removed if pair[0] not in late)
        return replace(
            self, removed=removed, stays=tuple(sorted((*self.stays, *stays), key=lambda one: one.id))
        )


def plan_undo(import_id: str, living: Sequence[Mapping[str, Any]]) -> Undo:
    """Decide over all living records of the plot.

    A record stays when it was edited (its revision is above the one it came with) or has an open conflict, and
    when a record that stays names it: a count made on the phone must not lose its board.
    """
    own = {one["id"]: one for one in living if one["body"].get(IMPORT) == import_id}
    why = {id_: found for id_, one in own.items() if id_ != import_id and (found := _touched(one))}
    stays = set(why)
    waiting = [one for one in living if one["id"] not in own or one["id"] in stays]
    while waiting:
        named = {found for one in waiting for found in _UUID.findall(json.dumps(one["body"]))} & own.keys()
        fresh = named - stays - {import_id}
        stays |= fresh
        waiting = [own[id_] for id_ in fresh]
    removed = tuple((id_, int(one["rev"])) for id_, one in own.items() if id_ not in stays)
    return Undo(import_id, removed, tuple(_stay(own[id_], why.get(id_, "named")) for id_ in sorted(stays)))


def _touched(record: Mapping[str, Any]) -> Why | None:
    if record.get("conflicts"):
        return "conflict"
    return "edited" if int(record["rev"]) > 1 else None


def _stay(record: Mapping[str, Any], why: Why) -> Stay:
    body = record["body"]
    label = body.get("label") or body.get("name") or body.get("text") or ""
    return Stay(record["id"], record["type"], why, str(label)[:80], body.get("observed_at"))
