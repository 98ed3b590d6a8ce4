"""Findings: derived answers, by the same functions as the commands."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from underboard.core.errors import InputFault
from underboard.core.findings.pressure import slug_pressure
from underboard.core.warnings.replays import replay_of
from underboard.store import pulling, sync_store
from underboard.store.seasons import all_facts
from underboard.web.api import Subject
from underboard.web.auth import require
from underboard.web.problems import Problem
from underboard.web.roles import Act
from underboard.web.schemas.findings import PressureSchema, ReplayQuerySchema, ReplaySchema
from underboard.web.services import services

subject = Subject("findings", __name__, "What the records say.")


@subject.route("/plots/<plot_id>/findings/slugs")
@subject.response(200, PressureSchema)
def slugs(plot_id: str) -> dict[str, Any]:
    """Slug pressure of every dawn round: mean a board with its 95 % interval, by place, disputes apart."""
    device = require(Act.READ, plot_id)
    rounds, counts, stations = (
        pulling.each_of(device.plot_id, (name,)) for name in ("round", "slug_count", "station")
    )
    found = slug_pressure(rounds, counts, stations)
    return {"rounds": [asdict(one) for one in found]}


@subject.route("/plots/<plot_id>/findings/warnings")
@subject.arguments(ReplayQuerySchema, location="query")
@subject.response(200, ReplaySchema)
def warnings(query: dict[str, Any], plot_id: str) -> dict[str, Any]:
    """How a rule would have done on this plot, beside always, never and the published method."""
    device = require(Act.READ, plot_id)
    rule, first, last = query["rule"], query.get("first"), query.get("last")
    # All that the answer follows from: the records carry the rule's settings too.
    key = ("replay", device.plot_id, *sync_store.clock_of(device.plot_id), rule, first, last)
    try:
        found = services().kept_answers.get(
            key, lambda: replay_of(all_facts(device.plot_id), rule, first, last)
        )
    except InputFault as fault:
        errors = [{"pointer": f"?{fault.pointer}", "detail": fault.detail}]
        raise Problem("validation", "Some values can't be taken: see errors.", errors=errors) from fault
    return {"plot_id": device.plot_id, **found}
