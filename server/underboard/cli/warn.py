"""`underboard warn`: one pass over the plots, and what it decided and why, or why not."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING, Any

from underboard.cli.opening import add_command, answer, opened, settings_of
from underboard.config import SettingsError

if TYPE_CHECKING:
    from underboard.core.warnings.decide import Change
    from underboard.core.warnings.facts import Facts
    from underboard.core.warnings.terms import Held
    from underboard.jobs.passing import Passing

_WIDTH = 100
_WHATS = ("raised", "updated", "ended")


@dataclass(frozen=True)
class Told:
    """What became of one plot. `warnings` are (what, fields with id and plot_id)."""

    facts: Facts
    at: datetime
    warnings: Sequence[tuple[str, Mapping[str, Any]]]
    held: Sequence[Held]


def add(commands: Any) -> None:
    parser = add_command(commands, "warn", "Look for warnings once, and say why or why not.", run)
    parser.add_argument(
        "--at", metavar="TIME", help="as of this time, such as 2026-05-12T21:00 (default: now)"
    )
    parser.add_argument("--plot", metavar="ID", help="this plot only (default: every plot)")
    parser.add_argument("--dry-run", action="store_true", help="say it and write nothing")


def run(asked: argparse.Namespace) -> int:
    from underboard.cli.working import passing_of
    from underboard.core.errors import UnknownPlot
    from underboard.store import people

    settings = settings_of(asked)
    said = _read_time(asked.at)
    with opened(settings):
        plots = people.plots()
        if asked.plot and asked.plot not in plots:
            raise UnknownPlot(asked.plot)
        passing = passing_of(settings)
        wanted = [asked.plot] if asked.plot else plots
        told = [_look(passing, plot_id, said, write=not asked.dry_run) for plot_id in wanted]
    return answer(asked, _facts(told), _text(told, asked.dry_run))


def _read_time(text: str | None) -> datetime | None:
    """Read `--at`; a time without an offset is meant by each plot's own clock."""
    if text is None:
        return None
    try:
        return datetime.fromisoformat(text)
    except ValueError as fault:
        raise SettingsError(
            f"--at: {text!r} is not a time; say it like 2026-05-12T21:00 or 2026-05-12T21:00:00+02:00."
        ) from fault


def _look(passing: Passing, plot_id: str, said: datetime | None, *, write: bool) -> Told:
    at = _moment(said, _zone(plot_id))
    as_of = said is not None
    if write:
        passed = passing.run(plot_id, at, as_of=as_of)
        facts, decision = passed.facts, passed.decision
        found = [(one.what, {**passed.records[one.id]["body"], "id": one.id}) for one in passed.changes]
    else:
        gathered, decision, changes = passing.look(plot_id, at, as_of=as_of)
        facts, found = gathered.facts, [(one.what, _planned(one)) for one in changes]
    return Told(facts, at, [(what, {**fields, "plot_id": plot_id}) for what, fields in found], decision.held)


def _planned(change: Change) -> dict[str, Any]:
    return {"rule": change.rule, **change.set, "id": change.id}


def _zone(plot_id: str) -> tzinfo:
    from underboard.core.warnings.timing import zone_of
    from underboard.store import summaries

    plot = summaries.record(plot_id, plot_id)
    return zone_of(plot["body"].get("time_zone") if plot is not None else None)


def _moment(said: datetime | None, zone: tzinfo) -> datetime:
    from underboard.core.warnings.timing import moment_of

    if said is None:
        return datetime.now(UTC)
    return said if said.tzinfo is not None else moment_of(said.date(), said.time(), zone)


def _facts(told: Sequence[Told]) -> dict[str, Any]:
    found: dict[str, Any] = {
        name: [fields for one in told for what, fields in one.warnings if what == name] for name in _WHATS
    }
    found["held"] = [
        {"rule": held.rule, "why_not": held.why_not, "key": held.key, "numbers": dict(held.numbers)}
        | {"plot_id": one.facts.plot.id}
        for one in told
        for held in one.held
    ]
    return found


def _text(told: Sequence[Told], dry: bool) -> str:
    if not told:
        return "There is no plot yet: begin one with `underboard pair --new-plot`."
    return "\n\n".join(_plot_text(one, dry) for one in told)


def _plot_text(told: Told, dry: bool) -> str:
    from underboard.core.warnings.timing import zone_of

    plot = told.facts.plot
    local = told.at.astimezone(zone_of(plot.time_zone))
    lines = [f"{plot.name or plot.id}, {local:%A %d %B %Y %H:%M} ({plot.time_zone})"]
    for what, fields in told.warnings:
        lines += _warning_lines(f"would be {what}" if dry else what, fields)
    if not told.warnings:
        lines.append("Nothing new to warn about.")
    lines += [_wrapped(f"{held.rule}: {held.why_not}", "  not: ") for held in told.held]
    return "\n".join(lines)


def _warning_lines(what: str, fields: Mapping[str, Any]) -> list[str]:
    about = fields.get("headline") or f"the warning {fields['id']} no longer holds."
    lines = [_wrapped(f"{fields['rule']}: {about}", f"  {what.upper()}: ")]
    if what.endswith("ended"):
        return lines
    for title, name in (("why", "why"), ("usual", "advice"), ("caution", "caution")):
        if fields.get(name):
            lines.append(_wrapped(str(fields[name]), f"    {title}: "))
    return lines


def _wrapped(text: str, lead: str) -> str:
    return textwrap.fill(text, _WIDTH, initial_indent=lead, subsequent_indent=" " * 8)
