"""The server's clock jumps: a year ahead and back, an hour either way, over both changes of summer time.

No clock orders anything, so nothing may be lost, refused or sent twice. (The scheduled job: tests/jobs/test_turns.py;
backups: tests/jobs/test_backups.py; a phone's clock: pwa/src/sync.)
"""

from __future__ import annotations

import time
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from underboard.config import Settings
from underboard.store import db, people
from underboard.web.app import create_app

SPRING = datetime(
    2026, 3, 29, 0, 59, 50, tzinfo=UTC
)  # ten seconds before Berlin's clocks go from 02:00 to 03:00
AUTUMN = datetime(2026, 10, 25, 0, 59, 50, tzinfo=UTC)  # and from 03:00 back to 02:00
JUMPS = {
    "a year ahead": timedelta(days=365),
    "a year back": timedelta(days=-365),
    "an hour ahead": timedelta(hours=1),
    "an hour back": timedelta(hours=-1),
    "over the change": timedelta(seconds=20),
}


class Clocked:
    """The app by a clock that is turned by hand, and one paired script."""

    def __init__(self, app: Flask, now: list[datetime]) -> None:
        self.app, self.now, self.client = app, now, app.test_client()
        self.plot, self.head = "", {}
        paired = self.pair(self.code())
        self.plot, self.device = paired["plot_id"], paired["device_id"]
        self.head = {"Authorization": f"Bearer {paired['token']}"}
        self.cursor = self.pull()["cursor"]

    def code(self) -> str:
        with self.app.app_context():
            return people.new_code(self.plot or None, "owner", self.now[0]).code

    def pair(self, code: str) -> dict[str, Any]:
        wish = {"code": code, "device_name": "script", "want": "token"}
        answer = self.client.post("/api/v1/pair", json=wish)
        return {"status": answer.status_code, **answer.get_json()}

    def push(self, id_: str, base: int, text: str) -> dict[str, Any]:
        set_ = {"text": text, "observed_at": "2026-03-29T06:40:00+01:00"}
        op = {
            "op_id": str(uuid.uuid4()),
            "kind": "put",
            "type": "note",
            "id": id_,
            "base_rev": base,
            "set": set_,
        }
        frame = {"protocol": 1, "schema": 1, "plot": self.plot, "epoch": self.epoch}
        frame |= {"sent_at": datetime.now(UTC).isoformat(), "ops": [op]}
        answer = self.client.post("/api/v1/sync/push", json=frame, headers=self.head)
        assert answer.status_code == 200, answer.get_json()
        return dict(answer.get_json()["results"][0])

    def pull(self, cursor: str = "") -> dict[str, Any]:
        query = f"plot={self.plot}" + (f"&cursor={cursor}" if cursor else "")
        answer = self.client.get(f"/api/v1/sync/pull?{query}", headers=self.head)
        assert answer.status_code == 200, answer.get_json()
        return dict(answer.get_json())

    @property
    def epoch(self) -> str:
        return str(self.pull()["epoch"])

    def seen(self) -> datetime | None:
        with self.app.app_context():
            (device,) = [one for one in people.devices(self.plot) if one.id == self.device]
        return device.last_seen_at


@pytest.fixture(params=[SPRING, AUTUMN], ids=["spring", "autumn"])
def clocked(
    request: pytest.FixtureRequest, database_url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Clocked]:
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    now = [request.param]
    settings = Settings(
        data=tmp_path / "data", database_url=database_url, rate_limits=False, log_level="error"
    )
    app = create_app(settings, now=lambda: now[0])
    yield Clocked(app, now)
    with app.app_context():
        db.engine.dispose()
    monkeypatch.undo()
    time.tzset()


def test_whatever_the_clock_does_records_come_and_go(clocked: Clocked) -> None:
    begin, ids, cursor = clocked.now[0], {}, clocked.cursor
    for words, jump in JUMPS.items():
        clocked.now[0] = begin + jump
        ids[words] = str(uuid.uuid4())
        assert clocked.push(ids[words], 0, words)["status"] == "applied"
        page = clocked.pull(cursor)
        assert [one["body"]["text"] for one in page["records"]] == [words]
        cursor = page["cursor"]
        clocked.now[0] = begin
        assert clocked.push(ids[words], 1, f"{words}, corrected")["status"] == "applied"
        (record,) = clocked.pull(cursor)["records"]
        assert (record["id"], record["rev"]) == (ids[words], 2)
        cursor = clocked.pull(cursor)["cursor"]
    records = clocked.pull()["records"]
    assert [one["body"]["text"] for one in records] == [f"{words}, corrected" for words in JUMPS]
    assert all(one["conflicts"] == [] for one in records)


def test_a_visit_is_noted_although_the_clock_was_ahead(clocked: Clocked) -> None:
    begin = clocked.now[0]
    clocked.now[0] = begin + JUMPS["a year ahead"]
    clocked.pull()
    assert clocked.seen() == clocked.now[0]
    clocked.now[0] = begin
    clocked.pull()
    assert clocked.seen() == begin


def test_a_code_made_while_the_clock_was_ahead_does_not_hold_for_a_year(clocked: Clocked) -> None:
    begin = clocked.now[0]
    clocked.now[0] = begin + JUMPS["a year ahead"]
    code, other = clocked.code(), clocked.code()
    assert clocked.pair(other)["status"] == 200
    clocked.now[0] = begin
    refused = clocked.pair(code)
    assert (refused["status"], refused["type"]) == (403, "/problems/not-allowed"), refused
    # A clock that is put right by seconds takes nobody's code away.
    fresh = clocked.code()
    clocked.now[0] = begin - timedelta(seconds=30)
    assert clocked.pair(fresh)["status"] == 200
