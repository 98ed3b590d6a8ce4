"""What a report looks at: the plot's records and facts, and the days it is about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from functools import cached_property
from typing import Any

from underboard.core.findings.pressure import RoundPressure, slug_pressure
from underboard.core.warnings.digest import HORIZON_DAYS, SLACK_DAYS, begin, take
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.facts_of import facts_of
from underboard.core.warnings.replay import facts_at
from underboard.core.warnings.rules import ALL
from underboard.core.warnings.terms import chosen
from underboard.core.warnings.timing import moment_of, zone_of
from underboard.exchange.holding import Holding, Wire
from underboard.exchange.report.tongue import ENGLISH, Tongue


@dataclass(frozen=True)
class Looked:
    """A plot and the days `first` to `last`, both included, on the plot's own calendar."""

    holding: Holding
    first: date
    last: date
    now: datetime
    tongue: Tongue = ENGLISH

    @property
    def zone(self) -> tzinfo:
        return zone_of(self.holding.plot.get("time_zone"))

    @property
    def end(self) -> datetime:
        """The moment the report speaks of: the end of its last day, or now if that is still to come."""
        midnight = moment_of(self.last + timedelta(days=1), datetime.min.time(), self.zone)
        return min(midnight - timedelta(seconds=1), self.now)

    @cached_property
    def facts(self) -> Facts:
        """What was known at the end of the period; later records are hidden.

        Of what the scheduled job lets go at a horizon, as much is taken before the first day as the job keeps.
        """
        digest = begin(self.holding.plot_id, self.holding.plot)
        take(digest, filter(self._matters, self.holding.records))
        return facts_at(facts_of(digest), self.end)

    def _matters(self, record: Wire) -> bool:
        if record["id"] == self.holding.plot_id:
            return False
        days = HORIZON_DAYS.get(record["type"])
        body = record["body"]
        told = body.get("observed_at") or body.get("raised_at") or body.get("set_at")
        if days is None or not isinstance(told, str):
            return True
        # Two days of slack for any time zone, and those in which a thermometer was last reset.
        first, last = self.first - timedelta(days=days + SLACK_DAYS + 2), self.last + timedelta(days=2)
        return first.isoformat() <= told[:10] <= last.isoformat()

    @cached_property
    def rounds(self) -> Sequence[RoundPressure]:
        """Every dawn round from the beginning of the year before up to the end, in order of time."""
        of, since = self.holding.of, date(self.first.year - 1, 1, 1).isoformat()
        walks = {one["id"]: one for one in of("round") if str(one["body"].get("observed_at")) >= since}
        counts = [one for one in of("slug_count") if one["body"].get("round_id") in walks]
        found = slug_pressure(walks.values(), counts, of("station"))
        return [one for one in found if _is_time(one.observed_at) and self.day(one.observed_at) <= self.last]

    def day(self, instant: str | datetime) -> date:
        """Return the local date of a moment."""
        at = datetime.fromisoformat(instant) if isinstance(instant, str) else instant
        return at.astimezone(self.zone).date()

    def has(self, instant: Any) -> bool:
        """Whether a moment lies within the period."""
        return isinstance(instant, str) and _is_time(instant) and self.first <= self.day(instant) <= self.last

    def seen(self, type_name: str, field: str = "observed_at") -> list[Wire]:
        """Return the records of a type within the period, in order of time."""
        found = [one for one in self.holding.of(type_name) if self.has(one["body"].get(field))]
        return sorted(found, key=lambda one: (str(one["body"][field]), one["id"]))

    def settings(self, rule_name: str) -> Mapping[str, Any]:
        """Return the plot's own settings of a rule."""
        (rule,) = [one for one in ALL if one.name == rule_name]
        watch = self.facts.watches.get(rule_name)
        return chosen(rule, watch.settings if watch else None)

    def places(self, ids: Iterable[str] | None) -> str:
        return ", ".join(sorted(self.holding.labels(ids)))


def _is_time(text: Any) -> bool:
    try:
        return datetime.fromisoformat(str(text)).tzinfo is not None
    except ValueError:
        return False
