"""Random histories whose server is backed up and restored by the real archives, twice in a row now and then.

The phones are the client's own code. Nothing is lost that was acknowledged, nothing comes twice, all end up with
the same. More by hand: `RESTORED_SEEDS=500 pytest tests/faults/test_restored_histories.py`.
"""

from __future__ import annotations

import logging
import os
import shutil
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
import structlog

from tests.faults.child import bundle, histories
from tests.faults.house import House
from tests.store.kept_plot import no_key
from underboard.config import Settings
from underboard.store import db
from underboard.store.backup.making import make_backup
from underboard.store.backup.restoring import restore
from underboard.web.app import create_app
from underboard.web.services import EXTENSION

SEEDS = {"sqlite": 10, "postgresql": 3}


class KeepingHouse(House):
    """A house that keeps real backups beside a running server and puts them back while it is stopped."""

    def __init__(self, settings: Settings) -> None:
        app = create_app(settings)
        super().__init__(app, app.extensions[EXTENSION].server_id)
        self.settings, self.kept, self.restored = settings, settings.data.parent, 0

    def do_snapshot(self) -> int:
        number = len(self.backups)
        self.backups.append({})
        make_backup(self.settings, self.kept / f"{number}.tar", datetime.now(UTC))
        return number

    def do_restore(self, snapshot: int) -> None:
        self.stop()
        before = self.settings.data
        restore(self.settings, self.kept / f"{snapshot}.tar", no_key, datetime.now(UTC))
        if self.restored % 3 == 0:  # somebody was not sure that it had worked
            restore(self.settings, self.kept / f"{snapshot}.tar", no_key, datetime.now(UTC))
        for aside in before.glob("before-restore-*"):
            shutil.rmtree(aside) if aside.is_dir() else aside.unlink()
        self.restored += 1
        self.app = create_app(self.settings)

    def stop(self) -> None:
        with self.app.app_context():
            db.engine.dispose()


@pytest.fixture
def keeping_house(database_url: str, tmp_path: Path) -> Iterator[KeepingHouse]:
    settings = Settings(
        data=tmp_path / "home", database_url=database_url, rate_limits=False, log_level="error", jobs=False
    )
    before = structlog.get_config()
    structlog.configure(wrapper_class=structlog.make_filtering_bound_logger(logging.ERROR))
    house = KeepingHouse(settings)
    yield house
    house.stop()
    structlog.configure(**before)


@pytest.mark.histories
def test_real_phones_and_real_backups_lose_nothing(keeping_house: KeepingHouse, tmp_path: Path) -> None:
    kind = keeping_house.settings.database.partition(":")[0].partition("+")[0]
    wanted = int(os.environ.get("RESTORED_SEEDS", 0)) or SEEDS[kind]
    script = bundle(tmp_path)
    failing = [one for one in histories(keeping_house, script, range(wanted)) if one.findings]
    assert {verdict.seed: verdict.findings[:2] for verdict in failing} == {}
    assert keeping_house.restored >= wanted / 4
