"""A plot with something in every corner that a backup must carry, and all rows of a database to compare."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from PIL import Image
from sqlalchemy import create_engine, select

from tests.conftest import bare_app
from tests.store.sender import COUNT, NOW, Sender, delete, new_plot, put
from underboard.config import Settings
from underboard.data_folder import prepare_data_folder, server_id, write_secret
from underboard.store import db, migrate_to_head, targets
from underboard.store.blobs import BlobStore
from underboard.store.database import driver_url
from underboard.store.shelves import shelf_of
from underboard.store.tables import Base

Rows = dict[str, list[tuple[Any, ...]]]
MOMENT = datetime(2026, 6, 1, 3, 0, tzinfo=UTC)
PASSPHRASE = "five slugs under B07"


def no_key(_locked: bytes, shown: str) -> str:
    raise AssertionError(f"{shown} is not encrypted")


@contextmanager
def store_of(settings: Settings) -> Iterator[None]:
    app = bare_app(settings.database)
    with app.app_context():
        yield
        db.engine.dispose()


def settings_in(folder: Path, url: str = "", **more: Any) -> Settings:
    """A data folder that is ready to serve; with `url` on a database that has its tables."""
    settings = Settings(data=folder, database_url=url, **more)
    prepare_data_folder(settings)
    if not url:
        migrate_to_head(settings.database)
    server_id(settings)
    return settings


def photo(shade: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (32, 24), (shade, 90, 40)).save(out, "JPEG")
    return out.getvalue()


def keep_photo(settings: Settings, phone: Sender, content: bytes) -> str:
    sha256 = hashlib.sha256(content).hexdigest()
    BlobStore(shelf_of(settings)).write_stream(
        phone.plot_id, sha256, io.BytesIO(content), phone.device_id, NOW
    )
    return sha256


def fill(settings: Settings) -> tuple[Sender, Sender]:
    """Records, an edit, a deletion, an open conflict, a photo that a record names, mail, settings and a secret."""
    app = bare_app(settings.database)
    with app.app_context():
        a, b = new_plot("A", "B")
        kept, gone, argued = (
            put(COUNT),
            put({**COUNT, "count": 2}),
            put({**COUNT, "note": "größer ☔ \\u0000"}),
        )
        named = keep_photo(settings, a, photo(200))
        shown = put({**COUNT, "photos": [{"sha256": named, "bytes": len(photo(200))}]})
        a.push(kept, gone, argued, shown)
        a.push(put({"count": 9}, kept["id"], 1), delete(gone["id"], 1), put({"count": 1}, argued["id"], 1))
        b.push(put({"count": 3}, argued["id"], 1))
        targets.add_address(a.plot_id, "maren@plot.example", NOW)
        db.engine.dispose()
    settings.settings_file.write_text("blob_quota_mb = 77\n", encoding="utf-8")
    write_secret(settings.keys / "mail_password", "under the straw")
    return a, b


def all_rows(url: str) -> Rows:
    """Every row of every table, times in UTC, in an order of their own."""
    engine = create_engine(driver_url(url))
    try:
        with closing(engine.connect()) as connection:
            return {
                table.name: sorted(
                    (tuple(map(_plain, row)) for row in connection.execute(select(table))), key=repr
                )
                for table in Base.metadata.sorted_tables
            }
    finally:
        engine.dispose()


def _plain(value: Any) -> Any:
    if isinstance(value, datetime):
        return (value.astimezone(UTC) if value.tzinfo else value.replace(tzinfo=UTC)).isoformat()
    return bytes(value) if isinstance(value, memoryview) else value


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file below a folder but the lock that says who uses it."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != "in_use.lock" and not path.name.endswith("-shm")
        if not path.name.endswith("-wal") or path.stat().st_size
    }
