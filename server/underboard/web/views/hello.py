"""Who answers here."""

from __future__ import annotations

from typing import Any

from flask import request

from underboard import __version__
from underboard.core.sync.envelope import LOWEST_SCHEMA, PROTOCOL, SCHEMA
from underboard.store import people
from underboard.web.api import Subject
from underboard.web.plain_http import is_secure
from underboard.web.schemas.answers import HelloSchema
from underboard.web.services import services

subject = Subject("hello", __name__, "Who answers here.")


@subject.route("/hello")
@subject.doc(security=[])
@subject.response(200, HelloSchema)
def hello() -> dict[str, Any]:
    """Say who this is, before anything is sent: a phone on a stranger's network must notice.

    Needs no pairing.
    """
    return {
        "app": "underboard",
        "server_id": services().server_id,
        "protocol": PROTOCOL,
        "version": __version__,
        "schema": {"min": LOWEST_SCHEMA, "max": SCHEMA},
        "server_now": services().now().isoformat(),
        "claimed": bool(people.plots()),
        "secure": is_secure(request),
        "https": services().https_addresses(),
    }
