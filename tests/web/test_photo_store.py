"""The storage that holds the photos is away: the phone is told to come back, and its records go on."""

from __future__ import annotations

import hashlib
import socket
from dataclasses import replace
from pathlib import Path

from flask import Flask

from tests.web.conftest import Join, note
from tests.web.test_more import picture
from underboard.config import Settings
from underboard.store.blobs import BlobStore
from underboard.store.shelves import shelf_of
from underboard.web.services import EXTENSION


def test_a_photo_waits_and_a_record_goes_on(app: Flask, join: Join, tmp_path: Path) -> None:
    with socket.socket() as nobody:  # bound, but it does not listen
        nobody.bind(("127.0.0.1", 0))
        away = f"http://127.0.0.1:{nobody.getsockname()[1]}/photos"
        keys = {"photo_access_key": "someone", "photo_secret_key": "straw"}
        shelf = shelf_of(Settings(data=tmp_path / "data", photo_store=away, **keys))
        app.extensions[EXTENSION] = replace(app.extensions[EXTENSION], blobs=BlobStore(shelf))
        phone, photo = join(), picture()
        path = f"/api/v1/plots/{phone.plot_id}/blobs/{hashlib.sha256(photo).hexdigest()}"
        answer = phone.client.put(path, data=photo, headers=phone.headers)
        assert (answer.status_code, answer.headers["Retry-After"]) == (503, "60")
        assert answer.get_json()["type"] == "/problems/photo-store" and "straw" not in answer.text
        # Nothing is known of it yet, so the phone will send it again.
        assert phone.client.head(path, headers=phone.headers).status_code == 404
        assert [one["status"] for one in phone.push(note())] == ["applied"]
        assert not list((tmp_path / "data" / "blobs").iterdir())
