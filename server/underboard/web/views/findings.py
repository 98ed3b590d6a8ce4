"""Findings: derived answers, by the same functions as the commands."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from underboard.core.findings.pressure import slug_pressure
from underboard.store import sync_store
from underboard.web.api import Subject
from underboard.web.auth import require
from underboard.web.roles import Act
from underboard.web.schemas.findings import PressureSchema

subject = Subject("findings", __name__, "What the records say.")


@subject.route("/plots/<plot_id>/findings/slugs")
@subject.response(200, PressureSchema)
def slugs(plot_id: str) -> dict[str, Any]:
    """Slug pressure of every dawn round: mean a board with its 95 % interval, by place, disputes apart."""
    device = require(Act.READ, plot_id)
    records = sync_store.records_of(device.plot_id, ("round", "slug_count", "station"))
    of_type = {name: [r for r in records if r["type"] == name] for name in ("round", "slug_count", "station")}
    found = slug_pressure(of_type["round"], of_type["slug_count"], of_type["station"])
    return {"rounds": [asdict(one) for one in found]}
