"""A real `underboard serve` over a socket: races, bombs, removal in the middle, and an orderly end."""

from __future__ import annotations

import gzip
import http.client
import json
import os
import re
import stat
import threading
import time
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from tests.browser.server import ServerProcess

PAIR, PUSH = "/api/v1/pair", "/api/v1/sync/push"


@pytest.fixture
def server(tmp_path: Path) -> Iterator[ServerProcess]:
    process = ServerProcess(tmp_path).start()
    yield process
    process.stop()


def asked(
    server: ServerProcess, method: str, path: str, body_sent: bytes | None = None, **headers: str
) -> tuple[int, dict[str, Any]]:
    """One request on a connection of its own: status and JSON, whatever the status.

    Told that others kept the database busy for longer than a request waits, it asks again, as phones do: on a slow
    machine thirty at once take that long.
    """
    end = time.monotonic() + 180
    while True:
        status, body = _asked_once(server, method, path, body_sent, **headers)
        if body.get("type") != "/problems/busy" or time.monotonic() > end:
            return status, body
        time.sleep(0.5)


def _asked_once(
    server: ServerProcess, method: str, path: str, body: bytes | None, **headers: str
) -> tuple[int, dict[str, Any]]:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
    try:
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        connection.request(method, path, body, {"Content-Type": "application/json", **sent})
        answer = connection.getresponse()
        raw = answer.read()
        return answer.status, json.loads(raw) if raw else {}
    finally:
        connection.close()


def pair(server: ServerProcess, code: str, name: str = "phone") -> tuple[int, dict[str, Any]]:
    wish = json.dumps({"code": code, "device_name": name, "want": "token"}).encode()
    return asked(server, "POST", PAIR, wish)


def claim_code(server: ServerProcess) -> str:
    return (server.data / "keys" / "claim_code").read_text().strip()


def pushed(paired: dict[str, Any], epoch: str, *texts: str) -> bytes:
    ops = [
        {
            "op_id": str(uuid.uuid4()),
            "kind": "put",
            "type": "note",
            "id": str(uuid.uuid4()),
            "base_rev": 0,
            "set": {"observed_at": "2026-05-03T05:20:00+01:00", "text": text},
        }
        for text in texts
    ]
    frame = {"protocol": 1, "schema": 1, "plot": paired["plot_id"], "epoch": epoch, "ops": ops}
    return json.dumps({**frame, "sent_at": "2026-05-03T05:21:00+01:00"}).encode()


def epoch_of(server: ServerProcess, paired: dict[str, Any]) -> str:
    path = f"/api/v1/sync/pull?plot={paired['plot_id']}&limit=1"
    return str(asked(server, "GET", path, Authorization=f"Bearer {paired['token']}")[1]["epoch"])


def test_of_32_phones_with_the_first_code_one_gets_the_plot(server: ServerProcess) -> None:
    """The printed first-run code, by 32 threads at the same moment: one owner, one plot, then never again."""
    file = server.data / "keys" / "claim_code"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    code = claim_code(server)
    printed = (server.data / "serve.log").read_text()
    assert f"Pairing code to begin a plot of your own: {code}" in printed
    assert asked(server, "GET", "/api/v1/hello")[1]["claimed"] is False
    start = threading.Barrier(32)

    def race(number: int) -> tuple[int, dict[str, Any]]:
        start.wait()
        return pair(server, code, f"phone {number}")

    with ThreadPoolExecutor(32) as pool:
        answers = list(pool.map(race, range(32)))
    assert sorted(status for status, _ in answers) == [200] + [403] * 31
    winner = next(body for status, body in answers if status == 200)
    assert winner["role"] == "owner"
    assert pair(server, code)[0] == 403
    assert asked(server, "GET", "/api/v1/hello")[1]["claimed"] is True
    devices = asked(server, "GET", "/api/v1/devices", Authorization=f"Bearer {winner['token']}")[1]["devices"]
    assert [device["id"] for device in devices] == [winner["device_id"]]


def test_bombs_and_abysses_are_refused_and_the_server_stays_well(server: ServerProcess) -> None:
    paired = pair(server, claim_code(server))[1]
    token = f"Bearer {paired['token']}"
    bomb = gzip.compress(bytes(200_000_000), 9)
    assert len(bomb) < 256 * 1024
    deep = b'{"ops":' + b"[" * 100_000 + b"]" * 100_000 + b"}"
    refused = [
        asked(server, "POST", PUSH, bomb, Authorization=token, Content_Encoding="gzip"),
        asked(server, "POST", PUSH, bytes(3_000_000), Authorization=token),
        asked(server, "POST", PUSH, deep, Authorization=token),
        asked(server, "POST", PUSH, b"{}", Authorization=token, Content_Type="text/plain"),
        asked(server, "POST", PUSH, bomb, Content_Encoding="gzip"),
    ]
    assert [status for status, _ in refused] == [413, 413, 400, 415, 401]
    assert all(body["status"] == status and body["detail"] for status, body in refused)
    assert asked(server, "GET", "/healthz") == (200, {"status": "ok", "why": []})


def test_a_device_put_out_between_two_batches_keeps_what_it_has_and_sends_no_more(
    server: ServerProcess,
) -> None:
    owner = pair(server, claim_code(server))[1]
    phone = pair(server, server.code_for(owner["plot_id"]), "lost phone")[1]
    epoch = epoch_of(server, phone)
    token = f"Bearer {phone['token']}"
    assert asked(server, "POST", PUSH, pushed(phone, epoch, "first"), Authorization=token)[0] == 200
    server.run("devices", "--revoke", phone["device_id"])
    status, body = asked(server, "POST", PUSH, pushed(phone, epoch, "second"), Authorization=token)
    assert (status, body["type"]) == (401, "/problems/pair-again")
    headers = {"Authorization": f"Bearer {owner['token']}"}
    notes = [r for r in server.records(owner["plot_id"], headers) if r["type"] == "note"]
    assert [note["body"]["text"] for note in notes] == ["first"]


def test_many_threads_push_and_every_note_lands_once(server: ServerProcess) -> None:
    paired = pair(server, claim_code(server))[1]
    epoch = epoch_of(server, paired)
    token = f"Bearer {paired['token']}"
    bodies = [pushed(paired, epoch, *(f"{batch}.{n}" for n in range(20))) for batch in range(16)]

    def send(body: bytes) -> list[str]:
        status, answer = asked(server, "POST", PUSH, body, Authorization=token)
        assert status == 200, answer
        return [result["status"] for result in answer["results"]]

    with ThreadPoolExecutor(16) as pool:
        results = list(pool.map(send, bodies + bodies))
    assert (
        sorted(status for answer in results for status in answer) == ["applied"] * 320 + ["duplicate"] * 320
    )
    headers = {"Authorization": token}
    records = server.records(paired["plot_id"], headers)
    assert sorted(r["body"]["text"] for r in records) == sorted(
        f"{b}.{n}" for b in range(16) for n in range(20)
    )


def test_the_watching_process_holds_no_database_open(server: ServerProcess) -> None:
    """A SQLite connection carried through the fork would leave its locks behind (sqlite.org, How To Corrupt)."""
    parent = server._process
    assert parent is not None
    held = []
    for entry in Path(f"/proc/{parent.pid}/fd").iterdir():
        try:
            held.append(os.readlink(entry))
        except OSError:
            continue
    assert held
    assert [name for name in held if "sqlite3" in name] == []


def test_it_says_where_to_look_and_ends_without_a_word_of_complaint(server: ServerProcess) -> None:
    asked(server, "GET", "/api/v1/hello")
    parent = server._process
    assert parent is not None
    server.stop()
    assert parent.returncode == 0
    said = (server.data / "serve.log").read_text()
    assert f"Underboard answers at {server.url}\n" in said
    assert re.search(r"Ready after \d+\.\d s\.", said)
    assert "Traceback" not in said and "Warning" not in said
    assert [path.name for path in server.data.glob("*-wal")] == []
