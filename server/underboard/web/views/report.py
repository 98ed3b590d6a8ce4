"""Reports: a week, a season, the products used; as a page or as PDF."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from flask import Response, request

from underboard.core.warnings.timing import zone_of
from underboard.exchange.report.as_html import POLICY, as_html
from underboard.exchange.report.as_pdf import as_pdf
from underboard.exchange.report.german import TONGUES
from underboard.exchange.report.reports import KINDS
from underboard.web.api import Subject
from underboard.web.auth import require
from underboard.web.leaving import holding_of
from underboard.web.limits import REPORTS
from underboard.web.problems import Problem
from underboard.web.roles import Act
from underboard.web.schemas.exchange import ReportQuerySchema
from underboard.web.services import services

subject = Subject("report", __name__, "Reports to read and to print.")


@subject.route("/plots/<plot_id>/report/<kind>")
@subject.arguments(ReportQuerySchema, location="query", act=Act.READ)
@subject.response(200, {"type": "string", "format": "binary"}, content_type="*/*")
@subject.alt_response(404, description="No such report; there are: " + ", ".join(KINDS) + ".")
def report(query: dict[str, Any], plot_id: str, kind: str) -> Response:
    """A report of the week up to a day, of a year, or the record of products used in a year."""
    device = require(Act.READ, plot_id)
    found = KINDS.get(kind)
    if found is None:
        raise Problem("not-found", f"There is no such report; there are: {', '.join(KINDS)}.")
    wait = services().limits.take(REPORTS, device.id)
    if wait:
        raise Problem("too-many", "Too many reports at once: wait a little.", retry_after=wait)
    now = services().now()
    holding = holding_of(device.plot_id)
    about = about_of(found.of_year, query.get("until"), query.get("year"), now, holding.plot.get("time_zone"))
    # What the phone shows its words in wins over what the browser would like.
    language = query.get("language") or _wished()
    made = found.make(holding, about, now, TONGUES[language])
    if query["form"] == "pdf":
        answer = Response(as_pdf(made, now), mimetype="application/pdf")
    else:
        answer = Response(as_html(made), mimetype="text/html")
        answer.headers["Content-Security-Policy"] = POLICY
    name = f"{kind}-{about}.{query['form']}"
    answer.headers["Content-Language"] = language
    answer.vary.add("Accept-Language")
    answer.headers["Content-Disposition"] = f'inline; filename="{name}"'
    return answer


def _wished() -> str:
    """Return the first language of the browser that reports speak; "de-AT" wishes for German before "en;q=0.5"."""
    wished = (tag.lower().split("-")[0] for tag in request.accept_languages.values())
    return next((tag for tag in wished if tag in TONGUES), "en")


def about_of(
    of_year: bool, until: date | None, year: int | None, now: datetime, zone: str | None
) -> date | int:
    """Return what a report is about: the day or year that was asked for, else today's on the plot's calendar."""
    today = now.astimezone(zone_of(zone)).date()
    if of_year:
        return today.year if year is None else year
    return today if until is None else until
