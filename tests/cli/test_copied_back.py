"""People restore by copying a file: a real server process, stopped, with yesterday's database put in its place."""

from __future__ import annotations

import json
import shutil
import urllib.request
import uuid
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.server import ServerProcess

NOTE = {"text": "five under B07", "observed_at": "2026-05-01T05:10:00+01:00"}


class Logger:
    """A paired device that pushes and pulls over HTTP."""

    def __init__(self, server: ServerProcess) -> None:
        self.url, self.token = server.url, ""
        code = (server.data / "keys" / "claim_code").read_text()
        paired = self.ask("pair", {"code": code, "device_name": "logger", "want": "token"})
        self.plot, self.token = str(paired["plot_id"]), str(paired["token"])

    def ask(self, path: str, body: Any = None) -> Any:
        request = urllib.request.Request(
            f"{self.url}/api/v1/{path}", None if body is None else json.dumps(body).encode()
        )
        request.add_header("Content-Type", "application/json")
        if self.token:
            request.add_header("Authorization", f"Bearer {self.token}")
        with urllib.request.urlopen(request, timeout=20) as answer:
            return json.load(answer)

    def epoch(self) -> str:
        return str(self.ask(f"sync/pull?plot={self.plot}&limit=1")["epoch"])

    def push(self, op: dict[str, Any]) -> str:
        frame = {"protocol": 1, "schema": 1, "plot": self.plot, "epoch": self.epoch()}
        body = {**frame, "sent_at": "2026-05-01T05:10:00+01:00", "ops": [op]}
        return str(self.ask("sync/push", body)["results"][0]["status"])


def note(text: str) -> dict[str, Any]:
    ids = {"op_id": str(uuid.uuid4()), "id": str(uuid.uuid4())}
    return {**ids, "kind": "put", "type": "note", "base_rev": 0, "set": {**NOTE, "text": text}}


@pytest.fixture
def server(tmp_path: Path) -> Iterator[ServerProcess]:
    process = ServerProcess(tmp_path)
    yield process
    process.stop()


def test_yesterdays_file_begins_a_new_epoch_and_phones_bring_today_back(server: ServerProcess) -> None:
    server.start()
    logger = Logger(server)
    first, old, new = logger.epoch(), note("yesterday"), note("today")
    assert logger.push(old) == "applied"
    server.stop()
    file = server.data / "underboard.sqlite3"
    shutil.copyfile(file, server.data / "yesterday")

    server.start()
    assert logger.epoch() == first
    assert logger.push(new) == "applied"
    server.stop()

    epochs = {first}
    for _ in range(2):
        shutil.copyfile(server.data / "yesterday", file)
        server.start()
        epochs.add(logger.epoch())
        assert [logger.push(op) for op in (old, new)] == ["duplicate", "applied"]
        server.stop()
    assert len(epochs) == 3
