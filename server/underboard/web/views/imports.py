"""Old notebooks, logger files and bundles coming in: looked at first, taken in, undone as a whole."""

from __future__ import annotations

import io
from typing import Any, Final

from flask import request

from underboard.core.errors import InputFault, StoreBusy, StoreFull, UnknownRecord
from underboard.exchange.bundle import read_bundle
from underboard.exchange.sheets.table import MAX_BYTES
from underboard.exchange.sheets.taking import preview as look_at
from underboard.exchange.sheets.taking import refusals_json
from underboard.store.people import Device
from underboard.web.api import Subject
from underboard.web.arriving import (
    Taken,
    Who,
    imports_of,
    into_plot,
    is_bundle,
    look_in,
    undo_import,
    write_import,
)
from underboard.web.auth import require
from underboard.web.bodies import parse_json, read_body
from underboard.web.leaving import holding_of
from underboard.web.limits import IMPORTS
from underboard.web.problems import Problem
from underboard.web.roles import Act
from underboard.web.schemas.exchange import (
    ImportQuerySchema,
    ImportsSchema,
    PreviewSchema,
    TakenSchema,
    UndoneSchema,
)
from underboard.web.services import services

subject = Subject("imports", __name__, "What comes in from elsewhere.")
_FILE: Final = {"required": True, "content": {"*/*": {"schema": {"type": "string", "format": "binary"}}}}
_MAX_BUNDLE_JSON: Final = 64 * 1024 * 1024
_ADDRESS: Final = "/plots/<plot_id>/imports"


@subject.route(f"{_ADDRESS}/preview", methods=["POST"])
@subject.doc(requestBody=_FILE)
@subject.arguments(ImportQuerySchema, location="query", act=Act.RECORD)
@subject.response(200, PreviewSchema)
@subject.alt_response(413, description="More than 12 MiB.")
def preview(query: dict[str, Any], plot_id: str) -> dict[str, Any]:
    """Say how a CSV file or spreadsheet would be read and what it would bring. Nothing is written."""
    device = require(Act.RECORD, plot_id)
    _within_limit(device)
    data = _body()
    if is_bundle(io.BytesIO(data)):
        raise Problem(
            "validation", "That is a bundle: it has no columns to look at, and is taken in as it is."
        )
    try:
        return look_at(data, _wishes(query), holding_of(device.plot_id), look_in(device.plot_id)).as_json()
    except InputFault as fault:
        raise _refused(fault) from fault


@subject.route(_ADDRESS, methods=["POST"])
@subject.doc(requestBody=_FILE)
@subject.arguments(ImportQuerySchema, location="query", act=Act.RECORD)
@subject.response(200, TakenSchema)
@subject.alt_response(413, description="More than 12 MiB: use the command `underboard import`.")
def take_in(query: dict[str, Any], plot_id: str) -> dict[str, Any]:
    """Take in a CSV file, a spreadsheet, or (the owner) a bundle. The same file again makes nothing twice."""
    device = require(Act.RECORD, plot_id)
    _within_limit(device)
    data = _body()
    who, now, name = Who(device.id, device.name), services().now(), query["name"]
    try:
        if is_bundle(io.BytesIO(data)):
            require(Act.MANAGE, plot_id)
            bundle = read_bundle(io.BytesIO(data), _MAX_BUNDLE_JSON)
            return _told(into_plot(device.plot_id, bundle, name, services().blobs, who, now))
        found = look_at(data, _wishes(query), holding_of(device.plot_id), look_in(device.plot_id)).found
        return _told(write_import(device.plot_id, name, found, who, now))
    except InputFault as fault:
        raise _refused(fault) from fault
    except StoreBusy as fault:
        raise Problem("busy", str(fault), retry_after=3) from fault
    except StoreFull as fault:
        raise Problem("disk-full", str(fault)) from fault


@subject.route(_ADDRESS, methods=["GET"])
@subject.response(200, ImportsSchema)
def standing(plot_id: str) -> dict[str, Any]:
    """The imports that stand, newest first."""
    device = require(Act.READ, plot_id)
    return {"imports": imports_of(device.plot_id)}


@subject.route(f"{_ADDRESS}/<import_id>", methods=["DELETE"])
@subject.response(200, UndoneSchema)
@subject.alt_response(404, description="The plot has no such import, or it was undone.")
def undo(plot_id: str, import_id: str) -> dict[str, Any]:
    """Remove what an import brought, but for records that somebody has worked on since."""
    device = require(Act.RECORD, plot_id)
    try:
        done = undo_import(device.plot_id, import_id, Who(device.id, device.name), services().now())
    except UnknownRecord as fault:
        raise Problem("not-found", "There is no such import, or it was undone.") from fault
    return {"removed": len(done.removed), "kept": list(done.kept), "stays": list(done.stays)}


def _within_limit(device: Device) -> None:
    wait = services().limits.take(IMPORTS, device.id)
    if wait:
        raise Problem("too-many", "Too many files at once: wait a little.", retry_after=wait)


def _body() -> bytes:
    return b"".join(read_body(request, max_sent=MAX_BYTES, max_inflated=MAX_BYTES))


def _wishes(query: dict[str, Any]) -> dict[str, Any]:
    wishes = parse_json(query["plan"].encode())
    if not isinstance(wishes, dict) or not isinstance(wishes.get("columns", {}), dict):
        raise InputFault("/plan", "The plan is a JSON object, and its columns are one.")
    return wishes


def _refused(fault: InputFault) -> Problem:
    errors = [{"pointer": fault.pointer, "detail": fault.detail}]
    return Problem("validation", fault.detail, errors=errors)


def _told(taken: Taken) -> dict[str, Any]:
    return {
        "import_id": taken.import_id,
        "taken": dict(taken.counts),
        "here_already": taken.same,
        "refused": len(taken.refused),
        "refusals": refusals_json(list(taken.refused)),
        "photos": taken.photos,
    }
