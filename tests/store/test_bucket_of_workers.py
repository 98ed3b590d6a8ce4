"""Photos of several workers on one PostgreSQL, on a real S3 server: what one of them took in, all of them give out."""

from __future__ import annotations

import hashlib
import json
import urllib.request
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from tests.browser.server import ServerProcess
from tests.cli.test_serving import asked, claim_code, epoch_of, pair
from tests.store.kept_plot import photo
from tests.store.postgres import Cluster
from underboard.config import Settings
from underboard.store.shelves import shelf_of

PHOTOS = [photo(shade) for shade in range(20, 180, 20)]
ASKED = 5
"""Times that each is read: forty connections, which the kernel hands out, do not all meet one worker of two."""


@pytest.fixture
def workers(
    bucket_settings: Settings, postgres: Cluster, migrated_postgres: str, monkeypatch: pytest.MonkeyPatch
) -> Iterator[ServerProcess]:
    for name in ("photo_store", "photo_access_key", "photo_secret_key"):
        monkeypatch.setenv(f"UNDERBOARD_{name.upper()}", getattr(bucket_settings, name))
    bucket_settings.data.mkdir()
    url = postgres.make("bucket_workers", migrated_postgres)
    server = ServerProcess(bucket_settings.data).on(url).start("--workers", "2", "--no-jobs")
    yield server
    server.stop()


def test_what_one_worker_puts_into_the_bucket_any_gives_out(
    workers: ServerProcess, bucket_settings: Settings
) -> None:
    phone = pair(workers, claim_code(workers))[1]
    named = {hashlib.sha256(content).hexdigest(): content for content in PHOTOS}
    assert name_them(workers, phone, named)[0] == 200

    def send(sha256: str) -> int:
        return at(workers, phone, sha256, named[sha256])[0]

    def read(sha256: str) -> bytes:
        status, content = at(workers, phone, sha256)
        assert status == 200
        return content

    with ThreadPoolExecutor(8) as phones:
        # Two phones send the same one at the same moment, as after a round that both had photographed.
        assert set(phones.map(send, [*named] * 2)) <= {200, 201, 204}
        assert list(phones.map(read, [*named] * ASKED)) == [*named.values()] * ASKED
    assert len(named) == len(PHOTOS)
    assert {name for _, name, _ in shelf_of(bucket_settings).sizes()} == set(named)
    assert not (bucket_settings.blobs / phone["plot_id"]).exists()  # the workers' own disk keeps none


def name_them(
    server: ServerProcess, phone: dict[str, Any], named: dict[str, bytes]
) -> tuple[int, dict[str, Any]]:
    photos = [{"sha256": sha256, "bytes": len(content)} for sha256, content in named.items()]
    set_ = {"observed_at": "2026-05-03T05:20:00+01:00", "text": "The row by the hedge", "photos": photos}
    ids = {"op_id": str(uuid.uuid4()), "id": str(uuid.uuid4())}
    op = {**ids, "kind": "put", "type": "note", "base_rev": 0, "set": set_}
    frame = {"protocol": 1, "schema": 1, "plot": phone["plot_id"], "epoch": epoch_of(server, phone)}
    body = json.dumps({**frame, "sent_at": "2026-05-03T05:21:00+01:00", "ops": [op]}).encode()
    return asked(server, "POST", "/api/v1/sync/push", body, Authorization=f"Bearer {phone['token']}")


def at(
    server: ServerProcess, phone: dict[str, Any], sha256: str, content: bytes | None = None
) -> tuple[int, bytes]:
    """Send a photo, or read it, on a connection of its own."""
    address = f"{server.url}/api/v1/plots/{phone['plot_id']}/blobs/{sha256}"
    sent = {"Authorization": f"Bearer {phone['token']}", "Content-Type": "image/jpeg"}
    request = urllib.request.Request(address, content, sent, method="PUT" if content else "GET")
    with urllib.request.urlopen(request, timeout=120) as answer:
        return answer.status, answer.read()
