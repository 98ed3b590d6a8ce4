"""A small plot with one thermometer, two plain rules over it, and what they must come to, worked out by hand.

The rules are here and not the product's own, so that what is tested is the job: who runs, once or twice, what is
left after a crash.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from flask import Flask
from sqlalchemy import text

from tests.store.sender import Sender, put
from underboard.core.warnings.facts import Facts, HouseFacts
from underboard.core.warnings.terms import Due, Held, Rule, Said
from underboard.jobs.passing import Passing
from underboard.jobs.turns import Turns
from underboard.store import db, people, pulling
from underboard.store.people import new_id

NOW = datetime(2026, 5, 12, 18, 0, tzinfo=UTC)


@dataclass
class TurnedClock:
    """A clock that stands until somebody turns it."""

    at: datetime = NOW
    ticks: float = 0.0

    def now(self) -> datetime:
        return self.at

    def monotonic(self) -> float:
        return self.ticks

    def sleep(self, seconds: float) -> None:
        self.turn(timedelta(seconds=seconds))

    def turn(self, by: timedelta) -> datetime:
        self.at += by
        self.ticks += by.total_seconds()
        return self.at


def froze(facts: Facts, _settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """A warning for each night whose lowest reading was below zero; loud while the night lasts."""
    zone = ZoneInfo(facts.plot.time_zone)
    cold = {one.min_on: one.min_c for one in facts.readings if one.min_c is not None and one.min_c < 0}
    for night, lowest in sorted(cold.items()):
        end = datetime.combine(night, time(9), zone)
        yield Due(
            rule="froze",
            key=night.isoformat(),
            window_start=end - timedelta(hours=15),
            window_end=end,
            severity="Severe",
            urgency="Immediate" if now < end else "Past",
            certainty="Observed",
            headline=f"It froze on {night}: {lowest} °C.",
            why="A reading below zero.",
            advice="Look at what is tender.",
            caution="Test rule.",
            numbers={"min_c": lowest},
            loud=now < end,
        )
    if not cold:
        yield Held(rule="froze", why_not="No reading below zero.")


def every_quarter(facts: Facts, _settings: Mapping[str, Any], now: datetime) -> Iterable[Said]:
    """A warning of its own for each quarter of an hour: as many as there were passes."""
    slot = now.replace(minute=now.minute // 15 * 15, second=0, microsecond=0)
    yield Due(
        rule="quarter",
        key=slot.isoformat(),
        window_start=slot,
        window_end=slot + timedelta(minutes=15),
        severity="Minor",
        urgency="Immediate",
        certainty="Observed",
        headline=f"It is {slot.isoformat()}.",
        why="Time passes.",
        advice="None.",
        caution="Test rule.",
    )


def _rule(name: str, run: Any) -> Rule:
    return Rule(name=name, title=name, question="?", group="house", source="none: a test", run=run)


FROZE, QUARTER = _rule("froze", froze), _rule("quarter", every_quarter)


@dataclass
class SmallPlot:
    """A plot with a phone, a thermometer in the open and a mail address that wants to hear."""

    phone: Sender
    station_id: str
    place_id: str
    clock: TurnedClock = field(default_factory=TurnedClock)

    @property
    def plot_id(self) -> str:
        return self.phone.plot_id

    def read(self, min_c: float, at: datetime) -> str:
        """Push a reading; return its id."""
        said = {
            "station_id": self.station_id,
            "observed_at": at.isoformat(),
            "min": {"value": min_c, "unit": "degC"},
            "reset_done": True,
        }
        op = put(said, type="temperature")
        (result,) = self.phone.push(op)
        assert result["status"] == "applied", result
        return str(op["id"])

    def turns(self, rules: Iterable[Rule] = (FROZE,), **more: Any) -> Turns:
        return Turns(Passing(lambda _plot: HouseFacts(), tuple(rules), **more), self.clock)

    def warnings(self) -> dict[str, dict[str, Any]]:
        """Every warning of the plot by key, its body with `rev`."""
        found = pulling.records_of(self.plot_id, ["warning"])
        keys = [one["body"]["key"] for one in found]
        assert len(keys) == len(set(keys))
        return {one["body"]["key"]: {**one["body"], "rev": one["rev"]} for one in found}


def small_plot(zone: str = "Europe/Berlin", latitude: float = 52.5, *, mail: bool = True) -> SmallPlot:
    """Make the plot in the database of the app that is pushed."""
    from underboard.store import targets

    plot_id = people.create_plot(str(uuid.uuid4()))
    phone = Sender(plot_id, people.add_device(plot_id, "phone", "owner", NOW).device_id)
    plot = {"name": "Small plot", "time_zone": zone, "latitude": latitude, "longitude": 13.4}
    place, station = new_id(), new_id()
    phone.push(
        put(plot, id=plot_id, type="plot"),
        put({"kind": "open_ground", "label": "Field"}, id=place, type="place"),
        put(
            {"kind": "thermometer", "place_id": place, "label": "Post", "exposure": "screen"},
            id=station,
            type="station",
        ),
    )
    if mail:
        targets.add_address(plot_id, "grower@plot.example", NOW)
    return SmallPlot(phone, station, place)


def rows(app: Flask, query: str) -> list[tuple[Any, ...]]:
    """What lies in the database, for looking behind the store's back."""
    with app.app_context(), db.engine.connect() as connection:
        return [tuple(row) for row in connection.execute(text(query))]
