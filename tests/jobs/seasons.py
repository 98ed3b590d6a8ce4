"""The invented plot's two seasons, lived through again by a clock that is turned: what came when."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby
from operator import itemgetter
from typing import Any
from zoneinfo import ZoneInfo

from underboard.core.sync.envelope import PushEnvelope, read_op
from underboard.core.sync.terms import Op
from underboard.exchange.demo import member_names, scenario_ops
from underboard.store import people, summaries, sync_store, targets

LAST_DAY = date(2026, 11, 25)
LOOKS = (time(0, 30), time(9, 30), time(21, 30))
"""Times at which the plot is looked at on a day without records too: a night, a morning and an evening."""

Said = list[tuple[str, dict[str, Any]]]


class Seasons:
    """A plot with its three phones, and everything they will say, by the minute in which it arrives."""

    def __init__(self) -> None:
        begin = datetime(2025, 1, 1, tzinfo=UTC)
        self.plot_id = people.create_plot()
        phones = [
            people.add_device(self.plot_id, phone, role, begin).device_id for _, role, phone in member_names()
        ]
        targets.add_address(self.plot_id, "grower@plot.example", begin)
        self._arrivals: dict[datetime, Said] = defaultdict(list)
        made: dict[str, datetime] = {}
        for device_id, op in scenario_ops(self.plot_id, phones, LAST_DAY):
            moment = _moment(op["set"]) or made.get(op["id"])
            arrives = _next_half(moment) if moment else begin
            arrives = max(arrives, made.setdefault(op["id"], arrives))
            self._arrivals[arrives].append((device_id, op))
            if op["type"] == "plot":
                self.zone = ZoneInfo(op["set"]["time_zone"])

    def first(self) -> datetime:
        """When the first observation arrives."""
        return sorted(self._arrivals)[1]

    def moments(self, since: datetime, until: datetime) -> Iterator[datetime]:
        """When somebody looks: as records arrive, and at `LOOKS` every day."""
        looks = set()
        day = since.astimezone(self.zone).date()
        while day <= until.astimezone(self.zone).date():
            looks |= {datetime.combine(day, at, self.zone).astimezone(UTC) for at in LOOKS}
            day += timedelta(days=1)
        yield from sorted(at for at in looks | set(self._arrivals) if since <= at < until)

    def arrive(self, since: datetime, until: datetime) -> list[dict[str, Any]]:
        """Push what arrives after `since` and up to `until`; return those records as they stand, on the wire."""
        touched: dict[str, None] = {}
        epoch = sync_store.epoch_of(self.plot_id)
        for at in sorted(one for one in self._arrivals if since < one <= until):
            for device_id, said in groupby(self._arrivals[at], key=itemgetter(0)):
                ops = [read_op({**raw, "base_epoch": epoch}) for _, raw in said]
                answer = sync_store.push(
                    self.plot_id, device_id, PushEnvelope(self.plot_id, epoch, at, tuple(ops)), at
                )
                assert {one["status"] for one in answer.results} <= {"applied", "merged", "conflict"}
                touched |= dict.fromkeys(op.id for op in ops if isinstance(op, Op))
        found = [summaries.record(self.plot_id, id_) for id_ in touched]
        return [one for one in found if one is not None]


def _moment(fields: dict[str, Any]) -> datetime | None:
    for name in ("observed_at", "set_at"):
        if fields.get(name):
            return datetime.fromisoformat(fields[name]).astimezone(UTC)
    return None


def _next_half(moment: datetime) -> datetime:
    """The next full or half hour: the phone is home by then."""
    floor = moment.replace(minute=moment.minute // 30 * 30, second=0, microsecond=0)
    return floor if floor == moment else floor + timedelta(minutes=30)
