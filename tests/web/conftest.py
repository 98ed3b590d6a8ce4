"""The whole app on each database, and devices that speak to it."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from underboard.config import Settings
from underboard.store import db, people
from underboard.web.app import create_app
from underboard.web.services import utc_now

OWN_PAGE = {"Sec-Fetch-Site": "same-origin", "X-App": "1"}


@pytest.fixture
def app(database_url: str, tmp_path: Path) -> Iterator[Flask]:
    data = tmp_path / "data"
    client = tmp_path / "client"
    (client / "assets").mkdir(parents=True)
    (client / "index.html").write_text("<!doctype html><title>shell</title>")
    (client / "assets" / "app-1a2b.js").write_text("export {};")
    settings = Settings(data=data, database_url=database_url, rate_limits=False, log_level="error")
    made = create_app(settings, client_folder=client)
    yield made
    with made.app_context():
        db.engine.dispose()


class Office:
    """`store.people` in a context of its own: one left open would be shared by all requests of a test."""

    def __init__(self, app: Flask) -> None:
        self._app = app

    def __getattr__(self, name: str) -> Callable[..., Any]:
        def call(*arguments: Any, **options: Any) -> Any:
            with self._app.app_context():
                return getattr(people, name)(*arguments, **options)

        return call


@pytest.fixture
def office(app: Flask) -> Office:
    return Office(app)


@dataclass
class Caller:
    """A paired device."""

    client: FlaskClient
    device_id: str
    plot_id: str
    headers: dict[str, str]

    def get(self, path: str, **options: Any) -> TestResponse:
        return self.client.get(path, headers={**self.headers, **options.pop("headers", {})}, **options)

    def post(self, path: str, body: Any) -> TestResponse:
        return self.client.post(path, json=body, headers=self.headers)

    @property
    def epoch(self) -> str:
        return str(self.get(f"/api/v1/sync/pull?plot={self.plot_id}&limit=1").get_json()["epoch"])

    def envelope(self, *ops: Any, **changes: Any) -> dict[str, Any]:
        frame = {"protocol": 1, "schema": 1, "plot": self.plot_id, "epoch": self.epoch}
        return {
            **frame,
            "device": self.device_id,
            "sent_at": utc_now().isoformat(),
            "ops": list(ops),
            **changes,
        }

    def push(self, *ops: Any) -> list[dict[str, Any]]:
        answer = self.post("/api/v1/sync/push", self.envelope(*ops))
        assert answer.status_code == 200, answer.get_json()
        return list(answer.get_json()["results"])

    def pull(self) -> list[dict[str, Any]]:
        records: list[dict[str, Any]] = []
        cursor = ""
        while True:
            page = self.get(f"/api/v1/sync/pull?plot={self.plot_id}{cursor}").get_json()
            records += page["records"]
            cursor = f"&cursor={page['cursor']}"
            if not page["more"]:
                return records


Join = Callable[..., Caller]


@pytest.fixture
def join(app: Flask, office: Office) -> Join:
    """Pair a device: with a plot of its own, or with the plot of another caller; by token or by cookie."""

    def make(plot_id: str | None = None, role: str = "owner", want: str = "token") -> Caller:
        code = office.new_code(plot_id, role, utc_now())
        client = app.test_client()
        wish = {"code": code.code, "device_name": f"{role} phone", "want": want}
        answer = client.post("/api/v1/pair", json=wish, headers=OWN_PAGE)
        assert answer.status_code == 200, answer.get_json()
        body = answer.get_json()
        headers = {"Authorization": f"Bearer {body['token']}"} if want == "token" else dict(OWN_PAGE)
        return Caller(client, body["device_id"], body["plot_id"], headers)

    return make


def note(text: str = "wet", **changes: Any) -> dict[str, Any]:
    """One operation that makes a note."""
    set_ = {"observed_at": "2026-05-03T05:20:00+01:00", "text": text}
    op = {"op_id": str(uuid.uuid4()), "kind": "put", "type": "note", "id": str(uuid.uuid4()), "base_rev": 0}
    return {**op, "set": set_, **changes}
