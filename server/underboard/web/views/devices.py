"""The plot's devices: who may come in, and putting one out."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from flask import Response

from underboard.core.errors import UnknownDevice
from underboard.store import people
from underboard.web.api import Subject
from underboard.web.auth import clear_cookie, require
from underboard.web.problems import Problem
from underboard.web.roles import Act
from underboard.web.schemas.answers import DevicesSchema
from underboard.web.services import services

subject = Subject("devices", __name__, "The plot's devices.")


@subject.route("/devices")
@subject.response(200, DevicesSchema)
def devices() -> dict[str, Any]:
    """List the devices that may come in."""
    asking = require(Act.READ)
    return {"devices": [_shown(device, asking.id) for device in people.devices(asking.plot_id)]}


@subject.route("/devices/<device_id>", methods=["DELETE"])
@subject.response(204)
def revoke(device_id: str) -> Response:
    """Put a device out. An owner any device of the plot; everybody their own."""
    asking = require(Act.READ)
    if device_id != asking.id:
        require(Act.MANAGE)
    try:
        people.revoke(asking.plot_id, device_id, services().now(), asking.name)
    except UnknownDevice as fault:
        raise Problem("not-found", str(fault)) from fault
    answer = Response(status=204)
    if device_id == asking.id:
        clear_cookie(answer)
    return answer


def _shown(device: people.Device, asking: str) -> dict[str, Any]:
    return {
        "id": device.id,
        "name": device.name,
        "role": device.role,
        "kind": device.kind,
        "paired_at": device.created_at.isoformat(),
        "last_seen_at": _text(device.last_seen_at),
        "last_push_at": _text(device.last_push_at),
        "revoked_at": _text(device.revoked_at),
        "this_device": device.id == asking,
    }


def _text(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment is not None else None
