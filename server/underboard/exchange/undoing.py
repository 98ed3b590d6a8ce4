"""Taking back a whole import: which of its records go, and which stay because somebody has worked on them since."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from underboard.exchange.incoming import IMPORT

_UUID: Final = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}")


@dataclass(frozen=True)
class Undo:
    """What is removed as (id, revision), and the ids of what is kept: edited since, or named by what stays."""

    import_id: str
    removed: tuple[tuple[str, int], ...]
    kept: tuple[str, ...]

    def operations(self, plot_id: str) -> Iterator[dict[str, Any]]:
        """Give the deletions, each seen at the revision that was looked at: an edit that comes between wins."""
        for record_id, rev in self.removed:
            op_id = uuid.uuid5(uuid.UUID(plot_id), f"undo/{self.import_id}/{record_id}/{rev}")
            yield {"op_id": str(op_id), "kind": "del", "id": record_id, "base_rev": rev}


def plan_undo(import_id: str, living: Sequence[Mapping[str, Any]]) -> Undo:
    """Decide over all living records of the plot.

    A record stays when it was edited (its revision is above the one it came with) or has an open conflict, and
    when a record that stays names it: a count made on the phone must not lose its board.
    """
    own = {one["id"]: one for one in living if one["body"].get(IMPORT) == import_id}
    stays = {id_ for id_, one in own.items() if id_ != import_id and _was_touched(one)}
    waiting = [one for one in living if one["id"] not in own or one["id"] in stays]
    while waiting:
        named = {found for one in waiting for found in _UUID.findall(json.dumps(one["body"]))} & own.keys()
        fresh = named - stays - {import_id}
        stays |= fresh
        waiting = [own[id_] for id_ in fresh]
    removed = tuple((id_, int(one["rev"])) for id_, one in own.items() if id_ not in stays)
    return Undo(import_id, removed, tuple(sorted(stays)))


def _was_touched(record: Mapping[str, Any]) -> bool:
    return int(record["rev"]) > 1 or bool(record.get("conflicts"))
