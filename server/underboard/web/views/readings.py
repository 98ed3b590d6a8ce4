"""Temperatures from a logger, a batch at a time. Sending the same one again changes nothing."""

from __future__ import annotations

import json
import uuid
from datetime import datetime
from typing import Any

from underboard.core.sync.envelope import PushEnvelope, read_op
from underboard.store import sync_store
from underboard.web.api import Subject
from underboard.web.auth import require
from underboard.web.limits import READINGS
from underboard.web.problems import Problem
from underboard.web.roles import Act
from underboard.web.schemas.findings import ReadingsAnswerSchema, ReadingsSchema
from underboard.web.services import services

subject = Subject("readings", __name__, "Temperatures from a logger.")


@subject.route("/plots/<plot_id>/readings", methods=["POST"])
@subject.arguments(ReadingsSchema, act=Act.RECORD)
@subject.response(200, ReadingsAnswerSchema)
def readings(batch: dict[str, Any], plot_id: str) -> dict[str, Any]:
    """Store readings. One of a station and moment seen before is a duplicate; with another value, a conflict."""
    device = require(Act.RECORD, plot_id)
    wait = services().limits.take(READINGS, device.id)
    if wait:
        raise Problem("too-many", "Readings come too often: send them in larger batches.", retry_after=wait)
    now = services().now()
    ops = [_op(plot_id, reading) for reading in batch["readings"]]
    envelope = PushEnvelope(plot_id, None, now, tuple(read_op(op) for op in ops))
    stored = sync_store.push(plot_id, device.id, envelope, now)
    return {"results": [_result(op, result) for op, result in zip(ops, stored.results, strict=True)]}


def _op(plot_id: str, reading: dict[str, Any]) -> dict[str, Any]:
    """The same station and moment give the same record; the same reading gives the same operation."""
    place = uuid.uuid5(uuid.NAMESPACE_URL, f"{plot_id}/{reading.get('station_id')}/{_instant(reading)}")
    said = uuid.uuid5(place, json.dumps(reading, sort_keys=True))
    return {
        "op_id": str(said),
        "kind": "put",
        "type": "temperature",
        "id": str(place),
        "base_rev": 0,
        "set": {"observer": "logger", **reading},
    }


def _instant(reading: dict[str, Any]) -> str:
    """One moment written with two offsets is one moment."""
    text = str(reading.get("observed_at"))
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return text
    return str(moment.timestamp()) if moment.tzinfo is not None else text


def _result(op: dict[str, Any], result: dict[str, Any]) -> dict[str, Any]:
    answer = {"status": result["status"], "id": op["id"]}
    if "problem" in result:
        answer["problem"] = result["problem"]
    return answer
