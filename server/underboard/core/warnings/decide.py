"""All rules over one plot, and what has to be written so that the plot's warnings say what they decided."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from underboard.core.warnings.compact import mark_of
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.terms import Decision, Due, Held, Rule, Said, chosen

NAMESPACE: Final = uuid.UUID("5e0c1f6e-6f43-5d53-9d8d-8f2f2f6c9a11")
_ORDER: Final = {"Extreme": 4, "Severe": 3, "Moderate": 2, "Minor": 1, "Unknown": 0}


def decide(facts: Facts, now: datetime, rules: Iterable[Rule]) -> Decision:
    """Ask every rule that is on. The order of records leaves no trace in the answer."""
    said: list[Said] = []
    for rule in rules:
        watch = facts.watches.get(rule.name)
        on = rule.on if watch is None or watch.on is None else watch.on
        if not on:
            said.append(Held(rule=rule.name, why_not="Switched off for this plot."))
            continue
        said += rule.run(facts, chosen(rule, watch.settings if watch else None), now)
    due = [one for one in said if isinstance(one, Due)]
    return Decision(tuple(due), tuple(one for one in said if isinstance(one, Held)))


@dataclass(frozen=True)
class Change:
    """One warning record to write. `stage` is what people are told of it: raised, worse, or nothing new."""

    id: str
    op_id: str
    rule: str
    set: Mapping[str, Any]
    due: Due | None
    what: str
    """raised, updated or ended"""
    stage: str | None


def warning_id(plot_id: str, rule: str, key: str) -> str:
    """The id of the one warning that a rule may raise about a key on a plot."""
    return str(uuid.uuid5(NAMESPACE, f"{plot_id}/{rule}/{key}"))


def body_of(due: Due, scores: Mapping[str, Any]) -> dict[str, Any]:
    """Return what people see of a warning, as fields of its record."""
    return {
        "rule": due.rule,
        "key": due.key,
        "window_start": due.window_start.isoformat(),
        "window_end": due.window_end.isoformat(),
        "place_ids": list(due.place_ids),
        "crop_ids": list(due.crop_ids),
        "station_ids": list(due.station_ids),
        "severity": due.severity,
        "urgency": due.urgency,
        "certainty": due.certainty,
        "headline": due.headline,
        "why": due.why,
        "advice": due.advice,
        "caution": due.caution,
        "numbers": dict(due.numbers),
        "score": dict(scores.get(due.rule) or {}),
        "loud": due.loud,
    }


def changes_of(
    facts: Facts, decision: Decision, now: datetime, scores: Mapping[str, Any] | None = None
) -> list[Change]:
    """Return the records to write. Deciding the same again gives none."""
    standing = {one.id: one for one in facts.standing}
    found: list[Change] = []
    wanted: set[str] = set()
    for due in decision.due:
        id_ = warning_id(facts.plot.id, due.rule, due.key)
        if id_ in wanted:
            continue
        wanted.add(id_)
        body = body_of(due, scores or {})
        old = standing.get(id_)
        if old is None:
            stamp = {"raised_at": now.isoformat(), "updated_at": now.isoformat()}
            found.append(_change(id_, "raised", {**body, **stamp}, due, "raised" if due.loud else None))
        elif old.ended_at is not None or old.mark != mark_of(body):
            worse = _ORDER[due.severity] > _ORDER.get(old.severity or "Unknown", 0)
            stage = "worse" if due.loud and (worse or not old.loud) else None
            more = {"updated_at": now.isoformat(), "ended_at": None}
            found.append(_change(id_, "updated", {**body, **more}, due, stage))
    for old in facts.standing:
        if old.ended_at is None and old.id not in wanted:
            found.append(_change(old.id, "ended", {"ended_at": now.isoformat()}, None, None, old.rule))
    return found


def _change(
    id_: str, what: str, set_: dict[str, Any], due: Due | None, stage: str | None, rule: str = ""
) -> Change:
    moment = set_.get("raised_at") or set_.get("updated_at") or set_["ended_at"]
    # A raised warning has one operation whoever raises it; an update is another one each time it differs.
    said = f"{id_}/raised" if what == "raised" else f"{id_}/{what}/{moment}/{mark_of(set_)}"
    return Change(id_, str(uuid.uuid5(NAMESPACE, said)), due.rule if due else rule, set_, due, what, stage)
