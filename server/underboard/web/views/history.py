"""What was done to a record, by whom and when; what was removed."""

from __future__ import annotations

import re
from dataclasses import asdict
from typing import Any

from underboard.core.errors import UnknownRecord
from underboard.core.sync.past import returned_id
from underboard.store import history as log
from underboard.web.api import Subject
from underboard.web.auth import require
from underboard.web.problems import Problem
from underboard.web.roles import Act
from underboard.web.schemas.history import HistoryQuerySchema, HistorySchema, RemovedSchema
from underboard.web.schemas.kinds import UUID_SHAPE

subject = Subject("history", __name__, "What was done to a record.")


@subject.route("/plots/<plot_id>/records/<record_id>/history")
@subject.arguments(HistoryQuerySchema, location="query", act=Act.READ)
@subject.response(200, HistorySchema)
@subject.alt_response(404, description="The plot has no such record, now or before.")
def history(query: dict[str, Any], plot_id: str, record_id: str) -> dict[str, Any]:
    """A record's changes, newest first: who, when, which fields from what to what; conflicts and how they ended."""
    device = require(Act.READ, plot_id)
    try:
        if not re.match(UUID_SHAPE, record_id):
            raise UnknownRecord(record_id)
        found = log.history(device.plot_id, record_id, query["before"], query["limit"])
    except UnknownRecord as fault:
        raise Problem("not-found", "There is no such record in this plot.") from fault
    return {
        "record_id": found.record_id,
        "type": found.type,
        "rev": found.rev,
        "deleted": found.deleted,
        "changes": [
            {**asdict(entry), **asdict(signed), "settled": asdict(settled) if settled else None}
            for entry, signed, settled in found.entries
        ],
        "next_before": found.next_before,
    }


@subject.route("/plots/<plot_id>/records/removed")
@subject.arguments(HistoryQuerySchema, location="query", act=Act.READ)
@subject.response(200, RemovedSchema)
def removed(query: dict[str, Any], plot_id: str) -> dict[str, Any]:
    """What people removed and nobody put back, newest first, with what it said."""
    device = require(Act.READ, plot_id)
    found, next_before = log.removed(device.plot_id, query["before"], query["limit"])
    records = [
        {
            "id": one.id,
            "type": one.type,
            "seq": one.seq,
            "body": one.body,
            "returned_id": returned_id(one.id),
            **asdict(one.by),
        }
        for one in found
    ]
    return {"records": records, "next_before": next_before}
