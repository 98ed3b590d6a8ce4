"""Step 0004: mail addresses whose stop links lay in the database in clear, and mails of before that are still about."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import Connection, create_engine, text

from tests.conftest import bare_app
from tests.store.postgres import Cluster
from underboard.notify.stop_links import StopLinks
from underboard.store import db, migrate_to_head, targets
from underboard.store.database import driver_url
from underboard.store.migrating import drift, make_at

NOW = datetime(2026, 6, 1, 3, 0, tzinfo=UTC)
OLD = {
    "may@example.org": "Zk3J9wq0Yb6mT1xR8uVnC5sLh2dGfEaP",
    "jun@example.org": "-_YX8mQ2rT7uW4vB9nK1cD5eF0gH3jLa",
}


def fill(connection: Connection) -> None:
    """What the code of step 0003 wrote for two addresses, one of them stopped."""
    connection.execute(
        text("INSERT INTO sync_clock (plot_id, epoch, seq, gc_seq) VALUES ('plot', 'e', 0, 0)")
    )
    for number, (address, secret) in enumerate(OLD.items()):
        connection.execute(
            text(
                "INSERT INTO mail_target (id, plot_id, address, stop_token, made_at, stopped_at, failures)"
                " VALUES (:id, 'plot', :address, :secret, :now, :stopped, :failures)"
            ),
            {
                "id": f"t{number}", "address": address, "secret": secret, "now": NOW,
                "stopped": NOW if number else None, "failures": number,
            },
        )  # fmt: skip


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A database of step 0003 with those addresses, brought up to date."""
    cluster: Cluster | None = None
    made = f"sqlite:///{tmp_path / 'old.sqlite3'}"
    if request.param == "postgresql":
        cluster = request.getfixturevalue("postgres")
        made = cluster.make("stop_handles")
    engine = create_engine(driver_url(made))
    with engine.begin() as connection:
        make_at(connection, "0003")
        fill(connection)
    engine.dispose()
    assert migrate_to_head(made) is True
    yield made
    if cluster is not None:
        cluster.drop("stop_handles")


def test_links_in_mails_of_before_go_on_working_and_newer_mails_carry_newer_ones(
    url: str, tmp_path: Path
) -> None:
    links = StopLinks(tmp_path / "stop_key")
    with bare_app(url).app_context():
        try:
            with db.engine.connect() as connection:
                assert drift(connection) == []
                rows = connection.execute(text("SELECT * FROM mail_target ORDER BY id")).mappings().all()
            assert [(row["id"], row["address"], row["failures"]) for row in rows] == [
                ("t0", "may@example.org", 0), ("t1", "jun@example.org", 1),
            ]  # fmt: skip
            assert [one.state for one in targets.standings("plot")] == ["ok", "stopped"]
            for row, secret in zip(rows, OLD.values(), strict=True):
                assert secret not in str(row)
                assert row["stop_handle"] == hashlib.sha256(secret.encode()).hexdigest()
                assert targets.address_of_stop(links.handle(secret)) == row["address"]
                assert targets.address_of_stop(links.handle(row["stop_handle"])) is None
                assert (
                    targets.address_of_stop(links.handle(links.token(row["stop_handle"]))) == row["address"]
                )
            assert targets.stop_address(links.handle(OLD["may@example.org"]), NOW) == "may@example.org"
            assert [one.state for one in targets.standings("plot")] == ["stopped", "stopped"]
            targets.add_address("plot", "may@example.org", NOW)
            assert targets.address_of_stop(links.handle(OLD["may@example.org"])) is None
        finally:
            db.engine.dispose()


def test_nothing_of_them_is_left_in_the_file(url: str, tmp_path: Path) -> None:
    """SQLite only marks freed pages as free; PostgreSQL's own clearing up (VACUUM) does it there."""
    if url.startswith("sqlite"):
        with closing(sqlite3.connect(tmp_path / "old.sqlite3")) as connection:
            assert connection.execute("SELECT count(*) FROM mail_target").fetchone() == (2,)
        left = b"".join(path.read_bytes() for path in tmp_path.iterdir())
        assert b"may@example.org" in left
        assert [secret for secret in OLD.values() if secret.encode() in left] == []
