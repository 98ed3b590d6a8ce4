"""A script in the house that sends notes to a real server process."""

from __future__ import annotations

import json
import urllib.request
import uuid
from typing import Any

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
        with urllib.request.urlopen(request, timeout=60) as answer:
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
