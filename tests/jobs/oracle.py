"""What the job must come to, reckoned plainly: at each moment all rules over all records, from nothing.

No summary, no claim, no transaction, no difference from the pass before: every time the facts are made anew from
every record that is known, and the rules are asked. What they say is due is then compared with a list of what
stands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from underboard.core.warnings import RULES
from underboard.core.warnings.compact import compact, mark_of
from underboard.core.warnings.decide import body_of, warning_id
from underboard.core.warnings.digest import begin, forget
from underboard.core.warnings.facts import Facts, HouseFacts
from underboard.core.warnings.facts_of import facts_of
from underboard.core.warnings.scoring import scores_of
from underboard.core.warnings.terms import Due, Rule, chosen

RANK = ("Unknown", "Minor", "Moderate", "Severe", "Extreme")


@dataclass
class Stands:
    """One warning of the oracle: its record, and what happened to it."""

    body: dict[str, Any]
    history: list[str] = field(default_factory=list)
    told: set[str] = field(default_factory=set)


@dataclass
class Oracle:
    """The plot as a heap of records, and the warnings that must stand."""

    plot_id: str
    rules: tuple[Rule, ...] = tuple(RULES.values())
    records: dict[str, dict[str, Any]] = field(default_factory=dict)
    warnings: dict[str, Stands] = field(default_factory=dict)
    since: datetime | None = None
    _entries: dict[str, dict[str, Any] | None] = field(default_factory=dict)

    def know(self, records: list[dict[str, Any]]) -> None:
        self.records |= {one["id"]: one for one in records}
        for one in records:
            self._entries.pop(one["id"], None)

    def facts(self, now: datetime) -> Facts:
        digest = begin(self.plot_id, self.records[self.plot_id]["body"])
        for id_, record in self.records.items():
            if id_ not in self._entries:
                self._entries[id_] = None if id_ == self.plot_id else compact(record, digest.spot)
            entry = self._entries[id_]
            if entry is not None:
                digest.entries[record["type"]][id_] = entry
        for id_, one in self.warnings.items():
            digest.entries["warning"][id_] = compact(_wire(id_, one), digest.spot) or {}
        if self.since is not None:
            digest.entries["learned"]["learned"] = {"since": self.since.isoformat()}
        forget(digest, now.astimezone(ZoneInfo(digest.spot.time_zone)).date())
        return facts_of(digest, HouseFacts())

    def look(self, now: datetime) -> None:
        """Ask every rule, and bring the list up to date."""
        facts = self.facts(now)
        self.since = self.since or now
        due: dict[str, Due] = {}
        for rule in self.rules:
            watch = facts.watches.get(rule.name)
            for said in rule.run(facts, chosen(rule, watch.settings if watch else None), now):
                if isinstance(said, Due):
                    due.setdefault(warning_id(self.plot_id, said.rule, said.key), said)
        scores = scores_of(facts)
        for id_, said in due.items():
            self._stand(id_, said, scores, now)
        for id_, one in self.warnings.items():
            if id_ not in due and one.body["ended_at"] is None:
                one.body["ended_at"] = now.isoformat()
                one.history.append(f"{now.isoformat()} ended")

    def _stand(self, id_: str, said: Due, scores: Mapping[str, Any], now: datetime) -> None:
        body = body_of(said, scores)
        old = self.warnings.get(id_)
        if old is None:
            stamped = {**body, "raised_at": now.isoformat(), "updated_at": now.isoformat(), "ended_at": None}
            self.warnings[id_] = Stands(stamped, [f"{now.isoformat()} raised"])
            self._tell(id_, said, "raised", now)
            return
        if old.body["ended_at"] is None and mark_of(old.body) == mark_of(body):
            return
        worse = RANK.index(said.severity) > RANK.index(old.body["severity"])
        if worse or not old.body["loud"]:
            self._tell(id_, said, "worse", now)
        old.body |= {**body, "updated_at": now.isoformat(), "ended_at": None}
        old.history.append(f"{now.isoformat()} updated")

    def _tell(self, id_: str, said: Due, stage: str, now: datetime) -> None:
        if said.loud and said.window_end > now:
            self.warnings[id_].told.add(stage)


def _wire(id_: str, one: Stands) -> dict[str, Any]:
    return {"id": id_, "type": "warning", "deleted": False, "conflicts": [], "body": one.body}
