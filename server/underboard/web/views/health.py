"""Is the server well? Answers without any set-up, from this machine or another."""

from __future__ import annotations

from flask import Blueprint, Response, jsonify, request

from underboard.store import people
from underboard.web.plain_http import is_here
from underboard.web.problems import Problem
from underboard.web.services import services
from underboard.web.wellness import looked_at

health = Blueprint("health", __name__)


@health.get("/healthz")
def healthz() -> tuple[Response, int]:
    """200 when records can be stored, 503 with the reason when they can't."""
    why = services().wellness.why_not(lambda: looked_at(services().settings))
    return jsonify({"status": "sick" if why else "ok", "why": why}), 503 if why else 200


@health.get("/metrics")
def metrics() -> Response:
    """Counters as Prometheus text; to other machines only when the settings say so."""
    # Behind a proxy on this machine every caller looks local, but the proxy says that there is another one.
    passed_on = any(name in request.headers for name in ("X-Forwarded-For", "Forwarded", "Via"))
    here = is_here(request.remote_addr or "") and not passed_on
    if not services().settings.metrics_open and not here:
        raise Problem("not-found", "There is nothing at this address.")
    gauges = {"underboard_plots": ("Plots on this server.", float(len(people.plots())))}
    return Response(services().tallies.text(gauges), content_type="text/plain; version=0.0.4; charset=utf-8")
