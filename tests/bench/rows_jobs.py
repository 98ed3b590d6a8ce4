"""Rows of the scheduled job: one pass over a plot, a thousand plots in one turn, ten years against one."""

from __future__ import annotations

import random
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

from flask import Flask

from tests.bench.table import Row, at_most, by_turns
from underboard.core.sync.envelope import PushEnvelope, read_op
from underboard.jobs.passing import Passing
from underboard.jobs.turns import Turns
from underboard.store import db, init_database, migrate_to_head, people, sync_store
from underboard.store.people import new_id

NOW = datetime(2026, 9, 14, 18, 5, tzinfo=UTC)
PLOTS = 1_000
BOARDS = 26


class Clock:
    """Stands at one time until it is turned."""

    def __init__(self) -> None:
        self.at = NOW

    def now(self) -> datetime:
        return self.at

    def monotonic(self) -> float:
        return time.monotonic()

    def sleep(self, seconds: float) -> None:
        time.sleep(seconds)


@contextmanager
def store() -> Iterator[None]:
    with TemporaryDirectory() as folder:
        url = f"sqlite:///{Path(folder) / 'bench.sqlite3'}"
        migrate_to_head(url)
        app = Flask("bench")
        app.config["SQLALCHEMY_DATABASE_URI"] = url
        init_database(app)
        with app.app_context():
            yield
            db.engine.dispose()


class Plot:
    """A plot that is filled by one phone."""

    def __init__(self, boards: int = BOARDS) -> None:
        self.plot_id = people.create_plot()
        self.device = people.add_device(self.plot_id, "phone", "owner", NOW).device_id
        self.post = new_id()
        place = new_id()
        self.boards = [new_id() for _ in range(boards)]
        self.pushed = 0
        named = {"name": "Bench", "time_zone": "Europe/Berlin", "latitude": 52.5, "longitude": 13.4}
        self.push(
            [
                ("plot", self.plot_id, named),
                ("place", place, {"kind": "open_ground", "label": "Field"}),
                ("station", self.post, {"kind": "thermometer", "place_id": place, "label": "Post"}),
                *(
                    (
                        "station",
                        board,
                        {"kind": "slug_board", "place_id": place, "label": f"{n}", "walk_order": n},
                    )
                    for n, board in enumerate(self.boards)
                ),
            ]
        )

    def push(self, said: list[tuple[str, str, dict[str, Any]]]) -> None:
        for first in range(0, len(said), 500):
            ops = tuple(
                read_op(
                    {"op_id": new_id(), "kind": "put", "type": name, "id": id_, "base_rev": 0, "set": set_}
                )
                for name, id_, set_ in said[first : first + 500]
            )
            answer = sync_store.push(
                self.plot_id, self.device, PushEnvelope(self.plot_id, None, NOW, ops), NOW
            )
            assert {one["status"] for one in answer.results} == {"applied"}, answer.results[0]
            self.pushed += len(ops)

    def reading(self, at: datetime, low: float) -> tuple[str, str, dict[str, Any]]:
        said = {"station_id": self.post, "observed_at": at.isoformat(), "reset_done": True}
        said |= {"min": {"value": low, "unit": "degC"}, "max": {"value": low + 11, "unit": "degC"}}
        return ("temperature", new_id(), said)

    def year(self, ends: datetime, seed: int) -> None:
        """One year: a reading a day, an evening reading in spring, a dawn round with all boards twice a week."""
        chance = random.Random(seed)
        said = []
        for days in range(365):
            morning = ends.replace(hour=6, minute=0) - timedelta(days=days)
            said.append(self.reading(morning, round(chance.gauss(8, 4), 1)))
            if morning.month in (4, 5):
                evening = {"observed_at": (morning + timedelta(hours=14)).isoformat(), "sky": "clear"}
                air = round(chance.gauss(9, 3), 1)
                evening |= {"air": {"value": air, "unit": "degC"}, "dew": {"value": air - 3, "unit": "degC"}}
                said.append(("evening", new_id(), {**evening, "wind": "calm"}))
            if days % 7 in (0, 3) and 3 <= morning.month <= 10:
                said += self.round(morning - timedelta(hours=1), chance)
        self.push(said)

    def round(self, at: datetime, chance: random.Random) -> list[tuple[str, str, dict[str, Any]]]:
        round_id, when = new_id(), {"observed_at": at.isoformat()}
        made = {"kind": "dawn", **when, "finished_at": at.isoformat(), "surface": "damp", "valid": True}
        counts = []
        for board in self.boards:
            n = min(60, int(chance.expovariate(0.3)))
            state = {"state": "counted", "count": n} if n else {"state": "none_found", "count": 0}
            counts.append(
                ("slug_count", new_id(), {"round_id": round_id, "station_id": board, **state, **when})
            )
        return [("round", round_id, made), *counts]


def job_rows(runs: int) -> list[Row]:
    with store():
        rows = pass_rows(max(runs, 3))
    with store():
        rows.append(turn_row())
    return rows


def pass_rows(runs: int) -> list[Row]:
    """One pass over a plot of one year and of ten, each after a reading has come; and one when nothing has."""
    one, ten = Plot(), Plot()
    one.year(NOW, 1)
    for years in range(10):
        ten.year(NOW - timedelta(days=365 * years), 1 + years)
    clock, passing = Clock(), Passing()

    def after_a_reading(plot: Plot) -> float:
        clock.at += timedelta(minutes=15)
        plot.push([plot.reading(clock.at, 7.5)])
        return timed(lambda: passing.run(plot.plot_id, clock.at))

    def quiet() -> float:
        clock.at += timedelta(minutes=15)
        return timed(lambda: passing.run(one.plot_id, clock.at))

    short, long = by_turns(runs * 3, lambda: after_a_reading(one), lambda: after_a_reading(ten))
    nothing_new = median(quiet() for _ in range(runs * 3))
    return [
        at_most("warning pass, a year of records, a reading has come", short, "ms", 50),
        at_most("warning pass, a year of records, nothing new", nothing_new, "ms", 50),
        at_most(
            "warning pass, ten years against one", long / short, "×", 1.5, f"{long:.1f} and {short:.1f} ms"
        ),
    ]


def turn_row() -> Row:
    """A thousand plots, each with a month of readings and a reading just come, in one turn of the ticker."""
    plots = [Plot() for _ in range(PLOTS)]
    for number, plot in enumerate(plots):
        chance = random.Random(number)
        days = range(30)
        plot.push([plot.reading(NOW - timedelta(days=n), round(chance.gauss(8, 4), 1)) for n in days])
    clock = Clock()
    turns = Turns(Passing(), clock)
    assert len(turns.run_due()) == PLOTS
    for plot in plots:
        plot.push([plot.reading(NOW + timedelta(minutes=5), 6.0)])
    clock.at = NOW + timedelta(minutes=15)
    found: list[int] = []
    took = timed(lambda: found.append(len(turns.run_due())))
    assert found == [PLOTS]
    return at_most(f"{PLOTS:,} plots in one turn, each with a new reading", took / 1000, "s", 60)


def timed(work: Any) -> float:
    began = time.perf_counter()
    work()
    return (time.perf_counter() - began) * 1000
