"""Data folders to back up."""

from __future__ import annotations

import shutil
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.store.cheap_lock import cheap_key
from tests.store.kept_plot import PASSPHRASE, fill, settings_in
from tests.store.s3_server import ACCESS, SECRET, S3Server
from underboard.config import Settings
from underboard.store.backup.sealing import SealingKey
from underboard.store.bucket import Bucket


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


@pytest.fixture(scope="session")
def s3() -> Iterator[S3Server]:
    """The session's S3 server, started at first use; it makes the bucket with the first object."""
    server = S3Server()
    Bucket(_photos_at(f"{server.url}/photos", Path(server.folder))).probe("first")
    yield server
    server.stop()


@pytest.fixture
def bucket_settings(s3: S3Server, tmp_path: Path) -> Settings:
    """A data folder whose photos lie in a part of a bucket that is this test's alone."""
    return _photos_at(f"{s3.url}/photos/{uuid.uuid4().hex}", tmp_path / "home")


def _photos_at(store: str, data: Path) -> Settings:
    keys = {"photo_access_key": ACCESS, "photo_secret_key": SECRET}
    return Settings(data=data, photo_store=store, **keys)
