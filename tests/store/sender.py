"""A phone reduced to what it sends: operations in, results out, straight against the store."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from underboard.core.sync.envelope import read_push
from underboard.store import people, pulling, sync_store
from underboard.store.people import new_id

NOW = datetime(2026, 3, 29, 6, 0, tzinfo=UTC)
STATION = "01939b00-0000-7000-8000-000000000001"
COUNT: Mapping[str, Any] = {
    "station_id": STATION,
    "state": "counted",
    "count": 5,
    "observed_at": "2026-03-29T06:40:00+01:00",
}


def put(set_: Mapping[str, Any], id: str | None = None, base: int = 0, **more: Any) -> dict[str, Any]:
    """An operation as it goes over the wire; `more` overrides members."""
    made = {
        "op_id": new_id(),
        "kind": "put",
        "type": "slug_count",
        "id": id or new_id(),
        "base_rev": base,
        "set": dict(set_),
    }
    return {**made, **more}


def delete(id: str, base: int, **more: Any) -> dict[str, Any]:
    return {"op_id": new_id(), "kind": "del", "id": id, "base_rev": base, **more}


@dataclass
class Sender:
    """One device of one plot."""

    plot_id: str
    device_id: str

    def push(
        self, *ops: Mapping[str, Any], sent_at: datetime = NOW, epoch: str | None = None
    ) -> list[dict[str, Any]]:
        """Push; every operation's results in order."""
        raw = {
            "protocol": 1,
            "schema": 1,
            "plot": self.plot_id,
            "epoch": epoch or sync_store.epoch_of(self.plot_id),
            "sent_at": sent_at.isoformat(),
            "ops": list(ops),
        }
        return sync_store.push(self.plot_id, self.device_id, read_push(raw), NOW).results

    def pull_all(self, cursor: str | None = None, limit: int = 500) -> tuple[list[dict[str, Any]], str]:
        """Pull to the end; every record in order, and the last cursor."""
        records: list[dict[str, Any]] = []
        while True:
            page = pulling.pull(self.plot_id, cursor, limit)
            records += page.records
            cursor = page.cursor
            if not page.more:
                return records, cursor

    def record(self, id: str) -> dict[str, Any]:
        (found,) = [record for record in self.pull_all()[0] if record["id"] == id]
        return found


def new_plot(*names: str) -> list[Sender]:
    """A plot with one device a name."""
    plot_id = people.create_plot(str(uuid.uuid4()))
    return [Sender(plot_id, people.add_device(plot_id, name, "helper", NOW).device_id) for name in names]


def statuses(results: Sequence[Mapping[str, Any]]) -> list[str]:
    return [result["status"] for result in results]
