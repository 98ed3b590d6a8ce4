"""Phones in Node, before a real server over HTTP (SQLite) and before the app itself (PostgreSQL)."""

from __future__ import annotations

import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
import structlog

from tests.browser.conftest import new_phone
from tests.browser.server import ServerProcess
from tests.faults.child import bundle
from tests.faults.hands import Hands
from tests.faults.house import House
from tests.faults.kills import bare_page
from tests.store.postgres import Cluster
from underboard.config import Settings
from underboard.store import db, migrate_to_head
from underboard.web.app import create_app
from underboard.web.services import EXTENSION

Open = Callable[..., Hands]
__all__ = ["new_phone"]


@pytest.fixture(scope="session")
def hands_script(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The phones, bundled."""
    return bundle(tmp_path_factory.mktemp("hands"), "hands")


@pytest.fixture(scope="session")
def hands(hands_script: Path) -> Iterator[Open]:
    """Make the phones of a story: `hands(house)` calls into the app, `hands(house, url)` goes over HTTP."""
    made: list[Hands] = []

    def make(house: House, server: str = "pipe") -> Hands:
        made.append(Hands(hands_script, house, server))
        return made[-1]

    yield make
    for one in made:
        one.close()


@contextmanager
def house_on(folder: Path, url: str = "") -> Iterator[House]:
    """The app in this process, quiet, on a database that a server may be working on as well."""
    before = structlog.get_config()
    structlog.configure(wrapper_class=structlog.make_filtering_bound_logger(logging.ERROR))
    settings = Settings(data=folder, database_url=url, rate_limits=False, log_level="error")
    migrate_to_head(settings.database)
    app = create_app(settings)
    try:
        yield House(app, app.extensions[EXTENSION].server_id)
    finally:
        with app.app_context():
            db.engine.dispose()
        structlog.configure(**before)


@pytest.fixture(scope="session", params=["sqlite", "postgresql"])
def home(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory, hands: Open
) -> Iterator[Hands]:
    """Hands with a server for the session's stories; each begins a plot of its own."""
    folder = tmp_path_factory.mktemp("home")
    if request.param == "postgresql":
        cluster: Cluster = request.getfixturevalue("postgres")
        url = cluster.make(f"nastiest_{folder.name}", request.getfixturevalue("migrated_postgres"))
        with house_on(folder, url) as house:
            yield hands(house)
        return
    with house_on(folder) as house:
        server = ServerProcess(folder).without_jobs()
        try:
            yield hands(house, server.start().url)
        finally:
            server.stop()


@pytest.fixture(scope="module")
def calling(house: House, hands: Open) -> Hands:
    """Hands that call into the app, whose rules can be made wrong."""
    return hands(house)


@pytest.fixture(scope="session")
def storm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The client's storage and sync for a page with nothing else (bare_page.py)."""
    return bare_page.bundle(tmp_path_factory.mktemp("storm"))


@pytest.fixture(scope="module")
def at_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServerProcess]:
    """One running server for the browsers of a file."""
    process = ServerProcess(tmp_path_factory.mktemp("data")).without_jobs().start()
    yield process
    process.stop()
