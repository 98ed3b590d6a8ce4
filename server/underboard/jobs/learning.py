"""What the plot's own records have taught, as the fields of its `learned` record."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from underboard.core.sync.terms import write_fields
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.learning import learned_of


def learned_id(plot_id: str) -> str:
    """Return the id of the plot's one record of what was learned."""
    return str(uuid.uuid5(uuid.UUID(plot_id), "learned"))


def taught(facts: Facts) -> Mapping[str, Any]:
    """Return what the facts teach, in the spelling in which it is stored, so that the two can be compared."""
    fields: Mapping[str, Any] = json.loads(write_fields(learned_of(facts)))
    return fields


def fresh_fields(
    facts: Facts, learned: Mapping[str, Any], record: Mapping[str, Any] | None, now: datetime
) -> dict[str, Any]:
    """Return the fields of the plot's record that have to be set anew; mostly none."""
    body = record["body"] if record is not None else {}
    fields = {**learned, "since": (facts.since or now).isoformat()}
    return {name: value for name, value in fields.items() if body.get(name) != value}
