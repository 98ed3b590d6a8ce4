"""What the plot's own records have taught, as the fields of its `learned` record."""

from __future__ import annotations

import uuid
from datetime import datetime
from typing import Any

from underboard.core.warnings.facts import Facts


def learned_id(plot_id: str) -> str:
    """Return the id of the plot's one record of what was learned."""
    return str(uuid.uuid5(uuid.UUID(plot_id), "learned"))


def learned_of(facts: Facts, now: datetime) -> dict[str, Any]:
    """Return the fields that phones need to reckon as the server does."""
    since = facts.since or now
    return {"since": since.isoformat()}
