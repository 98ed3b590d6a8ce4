"""Rows of a server that holds ten years of one plot: its memory at rest, and while it is asked for everything."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from flask import Flask

from tests.bench.rows_cost import Watched, memory, settle
from tests.bench.rows_jobs import NOW, Plot
from tests.bench.table import Row, at_most
from tests.browser.server import ServerProcess
from underboard.store import db, init_database, migrate_to_head

YEARS, OBSERVATIONS, BOARDS = 10, 120_000, 150
BOUND_MB = 250


def memory_rows() -> list[Row]:
    with TemporaryDirectory() as folder:
        data = Path(folder)
        plot = filled(data)
        server = ServerProcess(data).start()
        try:
            settle(server)
            at_rest = memory(server)
            headers = server.bearer(plot)
            with Watched(server) as pulling:
                pulled = len(server.records(plot, headers))
            with Watched(server) as reckoning:
                server.call("GET", f"/api/v1/plots/{plot}/findings/slugs", headers=headers)
        finally:
            server.stop()
    assert pulled >= OBSERVATIONS, f"{pulled} records were pulled: these rows would be void"
    of = f"{pulled:,} records of one plot, its warnings looked for"
    looked = {
        "at rest": at_rest,
        "while a phone pulls everything": pulling.most_mb,
        "while a script asks for the pressure of all rounds": reckoning.most_mb,
    }
    return [
        at_most(f"memory of a server with ten years of a plot, {when}", megabytes, "MB", BOUND_MB, of)
        for when, megabytes in looked.items()
    ]


def filled(data: Path) -> str:
    """Ten years up to now, rounds of many boards twice a week, pushed as a phone pushes; returns the plot."""
    url = f"sqlite:///{data / 'underboard.sqlite3'}"
    migrate_to_head(url)
    app = Flask("ten years")
    app.config["SQLALCHEMY_DATABASE_URI"] = url
    init_database(app)
    with app.app_context():
        plot, made, turn = Plot(BOARDS), 0, 0
        while made < OBSERVATIONS:
            before = plot.pushed
            plot.year(NOW - timedelta(days=365 * (turn % YEARS), minutes=turn // YEARS), turn)
            made += plot.pushed - before
            turn += 1
        db.engine.dispose()
    return plot.plot_id
