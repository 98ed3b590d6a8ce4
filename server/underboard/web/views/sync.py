"""Push and pull over HTTP. The status judges the envelope; each operation has a result of its own."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING, Any, NoReturn

import structlog
from flask import Response, request

from underboard.core.errors import (
    CursorAhead,
    CursorExpired,
    CursorForged,
    EnvelopeFault,
    EpochChanged,
    NotHere,
    SchemaUnsupported,
    UnderboardError,
)
from underboard.core.sync.envelope import MAX_OPS, PushEnvelope, Unreadable, read_push
from underboard.core.sync.quick import read_quickly
from underboard.store import pulling, sync_store
from underboard.web.api import Subject
from underboard.web.auth import require
from underboard.web.bodies import (
    MAX_INFLATED,
    MAX_SENT,
    ODD_TEXT,
    has_odd_text,
    may_hold_odd_text,
    parse_json,
    read_body,
)
from underboard.web.limits import SYNC
from underboard.web.problems import Problem
from underboard.web.request_log import LOG
from underboard.web.roles import Act, may
from underboard.web.schemas.sync import (
    PullAnswerSchema,
    PullQuerySchema,
    PushAnswerSchema,
    PushEnvelopeSchema,
)
from underboard.web.services import services

if TYPE_CHECKING:
    from underboard.store.people import Device

subject = Subject("sync", __name__, "Push and pull.")


@subject.route("/sync/push", methods=["POST"])
@subject.body(PushEnvelopeSchema, "At most 500 operations, 256 KiB packed, 2 MiB unpacked.")
@subject.response(200, PushAnswerSchema)
@subject.alt_response(409, description="Another epoch or schema; the answer says which.")
@subject.alt_response(413, description="Too much at once: send it in halves.")
def push() -> Response:
    """Store operations; answers one result each, in order, even when some can't be taken."""
    # Who is asking comes before the body: a stranger's megabytes are not worth reading.
    device = require(Act.RECORD)
    _within_limit(device.id)
    envelope = _read_push()
    if envelope.plot_id != device.plot_id:
        raise Problem("not-found", "There is no such plot here.")
    try:
        stored = sync_store.push(device.plot_id, device.id, envelope, services().now())
    except UnderboardError as fault:
        _refuse(fault)
    for status, times in Counter(result["status"] for result in stored.results).items():
        services().tallies.add("underboard_push_operations_total", times, result=status)
    return _json(
        {"epoch": stored.epoch, "server_now": services().now().isoformat(), "results": stored.results}
    )


@subject.route("/sync/pull")
@subject.arguments(PullQuerySchema, location="query")
@subject.response(200, PullAnswerSchema)
@subject.alt_response(410, description="Away for too long: pull again without a cursor.")
def pull(query: dict[str, Any]) -> Response:
    """Give the next page. 304 when nothing is new since the ETag of the same address."""
    device = require(Act.READ, query["plot"])
    _within_limit(device.id)
    try:
        page = _page_for(device, query)
    except UnderboardError as fault:
        _refuse(fault)
    if page.unchanged:
        answer = Response(status=304)
        answer.set_etag(page.tag)
        return answer
    services().tallies.add("underboard_pull_records_total", len(page.texts))
    frame = {
        "epoch": page.epoch,
        "schema": page.schema,
        "cursor": page.cursor,
        "more": page.more,
        "server_now": services().now().isoformat(),
    }
    # The records are JSON text already: they are put into the frame as they are.
    body = f'{json.dumps(frame)[:-1]}, "records":[{",".join(page.texts)}]}}'
    answer = Response(body, content_type="application/json")
    answer.set_etag(page.tag)
    return answer


def _page_for(device: Device, query: dict[str, Any]) -> pulling.PullAnswer:
    def page() -> pulling.PullAnswer:
        return pulling.pull(
            device.plot_id,
            query.get("cursor"),
            query["limit"],
            deletions=query["deletions"],
            has=request.if_none_match.contains_weak,
        )

    try:
        return page()
    except CursorAhead:
        # Only of somebody who may write records: a guest's word must not make all phones sync anew.
        if not may(device.role, Act.RECORD):
            raise
        structlog.get_logger(LOG).warning("older database noticed", plot=device.plot_id, device=device.id)
        sync_store.begin_anew_if_behind(device.plot_id, query["cursor"])
        return page()


def _read_push() -> PushEnvelope:
    if request.mimetype != "application/json":
        raise Problem("media-type", "Send JSON with Content-Type: application/json.")
    raw = b"".join(read_body(request, max_sent=MAX_SENT, max_inflated=MAX_INFLATED))
    return read_quickly(raw) or _read_at_length(raw)


def _read_at_length(raw: bytes) -> PushEnvelope:
    value = parse_json(raw)
    try:
        envelope = read_push(value)
    except EnvelopeFault as fault:
        if fault.pointer == "/ops" and isinstance(value.get("ops"), list):
            raise Problem("too-large", fault.detail, max_ops=MAX_OPS) from fault
        errors = [{"pointer": fault.pointer, "detail": fault.detail}]
        raise Problem("malformed", f"The push can't be read: {fault.detail}", errors=errors) from fault
    except SchemaUnsupported as fault:
        raise Problem("schema", str(fault), min=fault.lowest, max=fault.highest) from fault
    if not may_hold_odd_text(raw):
        return envelope
    pairs = zip(envelope.ops, value["ops"], strict=True)
    odd = (("/set", ODD_TEXT),)
    ops = tuple(
        Unreadable(op.op_id, odd) if not isinstance(op, Unreadable) and has_odd_text(plain) else op
        for op, plain in pairs
    )
    return replace(envelope, ops=ops)


def _within_limit(device_id: str) -> None:
    wait = services().limits.take(SYNC, device_id)
    if wait:
        raise Problem("too-many", "This device syncs too often: wait a little.", retry_after=wait)


def _refuse(fault: UnderboardError) -> NoReturn:
    """Turn what the store says into an answer."""
    if isinstance(fault, EpochChanged):
        raise Problem("epoch", str(fault), epoch=fault.epoch) from fault
    if isinstance(fault, CursorExpired):
        raise Problem("cursor-expired", str(fault)) from fault
    if isinstance(fault, CursorForged):
        raise Problem("malformed", str(fault)) from fault
    if isinstance(fault, NotHere):
        raise Problem("not-found", "There is no such plot here.") from fault
    raise fault  # trouble of the database: problems.py has its answers


def _json(body: dict[str, Any]) -> Response:
    return Response(
        json.dumps(body, separators=(",", ":"), ensure_ascii=False), content_type="application/json"
    )
