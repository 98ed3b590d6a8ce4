"""The real app on SQLite, called in this process; a new plot for each story or history."""

from __future__ import annotations

import logging
from collections.abc import Iterator

import pytest
import structlog

from tests.faults.house import House
from underboard.config import Settings
from underboard.store import db, migrate_to_head
from underboard.web.app import create_app
from underboard.web.services import EXTENSION


@pytest.fixture(scope="module")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A house without phones yet. Its log keeps to errors: thousands of requests say nothing."""
    before = structlog.get_config()
    structlog.configure(wrapper_class=structlog.make_filtering_bound_logger(logging.ERROR))
    settings = Settings(data=tmp_path_factory.mktemp("data"), rate_limits=False, log_level="error")
    migrate_to_head(settings.database)
    app = create_app(settings)
    yield House(app, app.extensions[EXTENSION].server_id)
    with app.app_context():
        db.engine.dispose()
    structlog.configure(**before)
