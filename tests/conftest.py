"""Databases for every room: the same test runs on SQLite and on PostgreSQL.

Ask for `database_url` (an empty, migrated database of its own) or `database_app` (a bare Flask app on it,
with its context pushed). Migrations run once a session; each test gets a copy.
"""

from __future__ import annotations

import itertools
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
import structlog
from flask import Flask

from tests.store.postgres import Cluster
from underboard.store import db, init_database, migrate_to_head

if TYPE_CHECKING:
    from playwright.sync_api import Playwright

_numbers = itertools.count(1)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what takes long, so that no worker is left alone with it at the end."""
    items.sort(
        key=lambda item: (not item.get_closest_marker("histories"), not item.get_closest_marker("browser"))
    )


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say why a test was given one more try (deploy/test): whoever reads it looks at it as at a failure."""
    for report in terminalreporter.stats.get("rerun", []):
        terminalreporter.write_sep("_", f"{report.nodeid}, first try")
        terminalreporter.write_line(report.longreprtext)


def _log_as_it_was() -> Iterator[None]:
    """Leave the log as it was found, whoever sets it up meanwhile."""
    before = structlog.get_config()
    yield
    structlog.configure(**before)


log_as_a_file_found_it = pytest.fixture(_log_as_it_was, autouse=True, scope="module")
log_as_a_test_found_it = pytest.fixture(_log_as_it_was, autouse=True)


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """What starts browsers. One a process: a second one would find the first one's event loop running."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="session")
def postgres() -> Iterator[Cluster]:
    """The session's PostgreSQL cluster, started at first use."""
    cluster = Cluster()
    yield cluster
    cluster.stop()


@pytest.fixture(scope="session")
def migrated_postgres(postgres: Cluster) -> str:
    """Name of a migrated database to copy."""
    migrate_to_head(postgres.make("migrated"))
    return "migrated"


@pytest.fixture(scope="session")
def migrated_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated database file to copy."""
    path = tmp_path_factory.mktemp("migrated") / "underboard.sqlite3"
    migrate_to_head(f"sqlite:///{path}")
    return path


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """URL of a migrated and otherwise empty database, once of each kind."""
    if request.param == "sqlite":
        path = tmp_path / "underboard.sqlite3"
        shutil.copyfile(request.getfixturevalue("migrated_sqlite"), path)
        yield f"sqlite:///{path}"
        return
    cluster: Cluster = request.getfixturevalue("postgres")
    template = request.getfixturevalue("migrated_postgres")
    name = f"test_{next(_numbers)}"
    yield cluster.make(name, template)
    cluster.drop(name)


def bare_app(url: str) -> Flask:
    """A Flask app with nothing but the database."""
    app = Flask("underboard-tests")
    app.config["SQLALCHEMY_DATABASE_URI"] = url
    init_database(app)
    return app


@pytest.fixture
def database_app(database_url: str) -> Iterator[Flask]:
    """A bare app on `database_url`, with its context pushed."""
    app = bare_app(database_url)
    with app.app_context():
        yield app
        db.engine.dispose()
