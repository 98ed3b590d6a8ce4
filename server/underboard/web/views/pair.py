"""Letting devices in: a one-time code in exchange for a cookie or a bearer token."""

from __future__ import annotations

import json
from typing import Any

from flask import Response, jsonify, request

from underboard.core.errors import PairingFault, TooManyTries
from underboard.store import people
from underboard.web.api import Subject
from underboard.web.auth import require, set_cookie
from underboard.web.limits import PAIR_FAILURES
from underboard.web.problems import Problem
from underboard.web.roles import Act
from underboard.web.same_site import refuse_other_pages
from underboard.web.schemas.answers import (
    CodeAnswerSchema,
    CodeRequestSchema,
    MeSchema,
    PairAnswerSchema,
    PairRequestSchema,
)
from underboard.web.services import services

subject = Subject("pair", __name__, "Letting devices in.")


@subject.route("/pair", methods=["POST"])
@subject.arguments(PairRequestSchema)
@subject.doc(security=[])
@subject.response(200, PairAnswerSchema)
@subject.alt_response(403, description="The code is unknown, used or has run out.")
@subject.alt_response(429, description="Too many wrong codes from this address.")
def pair(wish: dict[str, str]) -> Response:
    """Use a one-time code. `want: cookie` answers with the device cookie, `token` with a bearer token."""
    refuse_other_pages(request)
    caller = request.remote_addr or "unknown"
    wait = services().limits.take(PAIR_FAILURES, caller)
    if wait:
        raise Problem("too-many", "Too many wrong codes from here: wait, then try again.", retry_after=wait)
    try:
        paired = people.use_code(
            wish["code"], wish["device_name"].strip() or "Device", wish["want"], services().now()
        )
    except PairingFault as fault:
        services().tallies.add("underboard_pairings_total", result=type(fault).__name__)
        kind = "too-many" if isinstance(fault, TooManyTries) else "not-allowed"
        raise Problem(kind, str(fault), retry_after=60 if kind == "too-many" else None) from fault
    services().limits.give_back(PAIR_FAILURES, caller)
    services().tallies.add("underboard_pairings_total", result="paired")
    body: dict[str, Any] = {
        "device_id": paired.device_id,
        "plot_id": paired.plot_id,
        "role": paired.role,
        "plot_name": plot_name(paired.plot_id),
    }
    if wish["want"] == "token":
        return jsonify(body | {"token": paired.token})
    answer = jsonify(body)
    set_cookie(answer, paired.token)
    return answer


@subject.route("/me")
@subject.response(200, MeSchema)
def me() -> dict[str, Any]:
    """Say which device is asking, of which plot."""
    device = require(Act.READ)
    return {
        "device_id": device.id,
        "device_name": device.name,
        "plot_id": device.plot_id,
        "plot_name": plot_name(device.plot_id),
        "role": device.role,
    }


@subject.route("/codes", methods=["POST"])
@subject.arguments(CodeRequestSchema, act=Act.MANAGE)
@subject.response(201, CodeAnswerSchema)
def new_code(wish: dict[str, str]) -> dict[str, str]:
    """Make a one-time code for one more device. For owners."""
    device = require(Act.MANAGE)
    code = people.new_code(device.plot_id, wish["role"], services().now(), typed=True)
    url = f"{request.host_url}#pair={code.code}"
    return {"code": code.code, "url": url, "expires_at": code.expires_at.isoformat()}


def plot_name(plot_id: str) -> str | None:
    """The plot's name as its record says, or None while there is none."""
    body = people.plot_bodies().get(plot_id)
    name = json.loads(body).get("name") if body else None
    return name if isinstance(name, str) else None
