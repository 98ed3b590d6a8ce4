"""Data folders to back up."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.store.cheap_lock import cheap_key
from tests.store.kept_plot import PASSPHRASE, fill, settings_in
from underboard.config import Settings
from underboard.store.backup.sealing import SealingKey


@pytest.fixture(scope="session")
def sealing_key() -> SealingKey:
    """The library's own lock takes seconds, which is the point of it; one test waits for it."""
    return cheap_key(PASSPHRASE)


@pytest.fixture
def home(tmp_path: Path, database_url: str) -> Settings:
    """A plot with everything in it, on each database."""
    settings = settings_in(tmp_path / "home", database_url)
    fill(settings)
    return settings


@pytest.fixture
def plain_home(tmp_path: Path, migrated_sqlite: Path) -> Settings:
    """The same on SQLite in the data folder itself."""
    (tmp_path / "home").mkdir()
    shutil.copyfile(migrated_sqlite, tmp_path / "home" / "underboard.sqlite3")
    settings = settings_in(tmp_path / "home")
    fill(settings)
    return settings
