"""Letting devices in: a one-time code in exchange for a cookie or a bearer token."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import urlsplit

from flask import Response, jsonify, request

from underboard.core.errors import PairingFault, TooManyTries
from underboard.store import people
from underboard.web.api import Subject
from underboard.web.auth import require, set_cookie
from underboard.web.limits import PAIR_FAILURES
from underboard.web.plain_http import HERE
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
def new_code(wish: dict[str, str]) -> dict[str, Any]:
    """Make a one-time code for one more device. For owners."""
    device = require(Act.MANAGE)
    now = services().now()
    code = people.new_code(device.plot_id, wish["role"], now, typed=True)
    address = _address_for_others()
    return {
        "code": code.code,
        "url": f"{address}/#pair={code.code}",
        "expires_at": code.expires_at.isoformat(),
        "seconds": int((code.expires_at - now).total_seconds()),
        "trust_url": _where_to_trust(address),
    }


def _address_for_others() -> str:
    """Where another phone finds this server: as this one does, unless that is the machine's name for itself."""
    here, asked = services(), request.host_url.rstrip("/")
    if urlsplit(asked).hostname not in HERE:
        return asked
    if here.settings.public_url:
        return here.settings.public_url.rstrip("/")
    addresses = here.https_addresses() if here.settings.host not in HERE else []
    return addresses[0] if addresses else asked


def _where_to_trust(address: str) -> str | None:
    """Where a phone that does not trust this household yet begins; None where there is nothing to install."""
    here = services()
    if not address.startswith("https://") or not here.https or not here.keeper.authority_file.is_file():
        return None
    host = urlsplit(address).hostname or ""
    host = f"[{host}]" if ":" in host else host
    return f"http://{host}:{here.settings.port}/install-ca"


def plot_name(plot_id: str) -> str | None:
    """The plot's name as its record says, or None while there is none."""
    body = people.plot_bodies().get(plot_id)
    name = json.loads(body).get("name") if body else None
    return name if isinstance(name, str) else None
