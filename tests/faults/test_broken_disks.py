"""A real server whose disk is full, fails, or has lost pages of the database: clear answers, nothing overwritten."""

from __future__ import annotations

import hashlib
import json
import resource
import subprocess
import sys
import time
import urllib.error
import urllib.request
import uuid
from collections.abc import Iterator
from email.message import Message
from pathlib import Path
from typing import Any

import pytest

from tests.attacks.household import picture
from tests.browser.server import ServerProcess
from tests.faults.small_disk import SmallDisk, read_only, small_disk
from underboard.cli.doctor import examine
from underboard.config import load_settings

AT = "2026-05-01T05:10:00+01:00"
PAGE = 4096


class Phone:
    """A paired script. Each answer is (status, document, headers)."""

    def __init__(self, server: ServerProcess) -> None:
        self.server, self.token = server, ""
        code = (server.data / "keys" / "claim_code").read_text().strip()
        wish = {"code": code, "device_name": "script", "want": "token"}
        _, paired, _ = self.ask("POST", "/api/v1/pair", json.dumps(wish).encode())
        self.plot, self.token = paired["plot_id"], paired["token"]
        self.epoch = self.pull()[1]["epoch"]

    def ask(
        self, method: str, path: str, body: bytes | None = None, media: str = "application/json"
    ) -> tuple[int, dict[str, Any], dict[str, str]]:
        request = urllib.request.Request(self.server.url + path, body, method=method)
        request.add_header("Content-Type", media)
        if self.token:
            request.add_header("Authorization", f"Bearer {self.token}")
        try:
            with urllib.request.urlopen(request, timeout=60) as answer:
                return answer.status, json.loads(answer.read()), _small(answer.headers)
        except urllib.error.HTTPError as fault:
            with fault:
                return fault.code, json.loads(fault.read()), _small(fault.headers)

    def push(self, *texts: str) -> tuple[int, dict[str, Any], dict[str, str]]:
        ids = [{"op_id": str(uuid.uuid4()), "id": str(uuid.uuid4())} for _ in texts]
        ops = [
            {**one, "kind": "put", "type": "note", "base_rev": 0, "set": {"text": text, "observed_at": AT}}
            for one, text in zip(ids, texts, strict=True)
        ]
        frame = {"protocol": 1, "schema": 1, "plot": self.plot, "epoch": self.epoch, "sent_at": AT}
        return self.ask("POST", "/api/v1/sync/push", json.dumps({**frame, "ops": ops}).encode())

    def pull(self) -> tuple[int, dict[str, Any], dict[str, str]]:
        return self.ask("GET", f"/api/v1/sync/pull?plot={self.plot}&limit=1000")

    def health(self, status: int) -> list[str]:
        """What the server says of itself once it says `status`; it looks anew each second."""
        for _ in range(600):
            found, body, _ = self.ask("GET", "/healthz")
            if found == status:
                return list(body["why"])
            time.sleep(0.1)
        raise AssertionError(f"not {status} but {found}: {body}")

    def texts(self) -> list[str]:
        status, page, _ = self.pull()
        assert status == 200, page
        return sorted(one["body"]["text"] for one in page["records"])


def _small(headers: Message) -> dict[str, str]:
    return {name.lower(): value for name, value in headers.items()}


def doctor(data: Path) -> dict[str, tuple[str, str]]:
    """What `underboard doctor` finds, by what it is about."""
    return {one.about: (one.level, one.words) for one in examine(load_settings(data, {}))}


def serve(server: ServerProcess) -> tuple[int, str]:
    """Try to start; the exit code and what it complained of."""
    words = [sys.executable, "-m", "underboard", "serve", "--data", str(server.data)]
    done = subprocess.run([*words, "--port", str(server.port)], capture_output=True, text=True, timeout=180)
    return done.returncode, done.stderr


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[ServerProcess, SmallDisk, Phone]]:
    with small_disk(tmp_path_factory.mktemp("disk") / "home", 72) as disk:
        server = ServerProcess(disk.folder).without_jobs()
        try:
            server.start()
            phone = Phone(server)
            assert phone.push("kept")[0] == 200
            yield server, disk, phone
        finally:
            disk.make_room()
            server.stop()


def test_a_full_disk_is_said_and_what_is_there_can_be_read(
    home: tuple[ServerProcess, SmallDisk, Phone],
) -> None:
    server, disk, phone = home
    before = phone.texts()
    disk.fill(server.pids())
    status, problem, head = phone.push(*("x" * 3000 for _ in range(50)))
    assert (status, head["content-type"]) == (disk.refusal, "application/problem+json")
    assert "keep" in problem["detail"]
    assert phone.texts() == before
    data = picture()
    sha256 = hashlib.sha256(data).hexdigest()
    path = f"/api/v1/plots/{phone.plot}/blobs/{sha256}"
    assert phone.ask("PUT", path, data, "image/jpeg")[0] == disk.refusal
    assert phone.health(503)
    disk.make_room()
    status, body, _ = phone.push("after")
    assert (status, body["results"][0]["status"]) == (200, "applied")
    assert phone.ask("PUT", path, data, "image/jpeg")[0] == 201
    assert phone.health(200) == []


def test_a_disk_that_fails_is_said_and_mends_by_itself(home: tuple[ServerProcess, SmallDisk, Phone]) -> None:
    """Every write of the server fails, as on a stick that was pulled out."""
    server, _, phone = home
    before = phone.texts()
    limits = {pid: resource.prlimit(pid, resource.RLIMIT_FSIZE, (0, -1)) for pid in server.pids()}
    try:
        status, problem, head = phone.push("never")
        assert (status, problem["type"], head["retry-after"]) == (503, "/problems/storage", "60")
        assert "keeps its records" in problem["detail"] and "doctor" in problem["detail"]
        assert "can be written" in phone.health(503)[0]
        assert phone.texts() == before
    finally:
        for pid, limit in limits.items():
            resource.prlimit(pid, resource.RLIMIT_FSIZE, limit)
    assert phone.push("again")[0] == 200
    assert phone.texts() == sorted([*before, "again"])


def test_a_damage_met_while_running_is_said_kept_and_stops_the_next_start(
    home: tuple[ServerProcess, SmallDisk, Phone],
) -> None:
    server, _, phone = home
    for batch in range(4):
        assert phone.push(*(f"number {batch} {number} " + "x" * 3000 for number in range(50)))[0] == 200
    truth = phone.texts()
    server.stop()
    file = server.data / "underboard.sqlite3"
    whole = file.read_bytes()
    server.start()  # nothing of the file is in the new worker's memory
    pages = bytearray(file.read_bytes())
    for page in range(12, len(pages) // PAGE):
        pages[page * PAGE : page * PAGE + 64] = bytes(64)
    with file.open("r+b") as open_file:  # in place: the server has it open
        open_file.write(pages)

    status, problem, head = phone.pull()
    assert (status, problem["type"], head["retry-after"]) == (503, "/problems/storage", "60")
    assert "damaged" in problem["detail"] and "underboard restore" in problem["detail"]
    assert phone.push("never")[0] == 503
    assert phone.health(503) == ["the database is damaged"]
    level, words = doctor(server.data)["database"]
    assert level == "trouble" and "damaged" in words and "restore" in words
    server.stop()
    damaged = file.read_bytes()

    code, words = serve(server)
    assert (code, words.count("\n")) == (2, 1), words
    assert "damaged" in words and f"underboard restore --data {server.data}" in words
    assert file.read_bytes() == damaged, "the damaged file is evidence"

    # Another one in its place (how `restore` does it: tests/cli/test_backing_up.py), and all is forgotten.
    file.write_bytes(whole)
    server.start()
    assert phone.health(200) == []
    assert phone.texts() == truth
    assert not (server.data / "damage_found").exists()


def test_a_read_only_folder_is_one_plain_sentence(tmp_path: Path) -> None:
    with small_disk(tmp_path / "home", 4) as disk:
        server = ServerProcess(disk.folder).without_jobs()
        server.run("migrate")
        with read_only(disk):
            code, words = serve(server)
            found = doctor(server.data)
        assert (code, words.count("\n")) == (2, 1), words
        said = words.lower()
        assert ("read-only" in said or "permission" in said) and str(disk.folder) in words
        assert found["disk"][0] == "trouble" and "written" in found["disk"][1]
