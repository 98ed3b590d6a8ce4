"""The disk turns read-only under a running server. At the start, and in `doctor`: test_broken_disks.py."""

from __future__ import annotations

import hashlib
from pathlib import Path

from tests.attacks.household import picture
from tests.browser.server import ServerProcess
from tests.faults.breaking_disk import breaking_disk
from tests.faults.test_broken_disks import Phone, doctor


def test_phones_are_told_read_on_and_lose_nothing(tmp_path: Path) -> None:
    with breaking_disk(tmp_path / "home") as disk:
        server = ServerProcess(disk.folder).without_jobs()
        try:
            server.start()
            phone, pids = Phone(server), server.pids()
            data = picture()
            path = f"/api/v1/plots/{phone.plot}/blobs/{hashlib.sha256(data).hexdigest()}"
            for batch in range(3):
                assert phone.push(*(f"{batch} {number} " + "x" * 500 for number in range(50)))[0] == 200
            acknowledged = phone.texts()

            disk.turn_read_only(pids)
            for _ in range(3):
                status, problem, head = phone.push("never", *("x" * 3000 for _ in range(50)))
                assert (status, problem["type"], head["retry-after"]) == (503, "/problems/storage", "60")
                assert head["content-type"] == "application/problem+json"
                assert "keeps its records" in problem["detail"] and "doctor" in problem["detail"]
            status, problem, _ = phone.ask("PUT", path, data, "image/jpeg")
            assert (status, problem["type"]) == (503, "/problems/storage")
            (why,) = phone.health(503)
            assert "can be written" in why
            if disk.mounted:  # without it only the server meets the fault, not this process
                assert "read-only" in why.lower()
                level, words = doctor(server.data)["disk"]
                assert level == "trouble" and "written" in words
            assert phone.texts() == acknowledged
            assert server.pids() == pids, "no worker died of it"

            server.stop()
            disk.mend()
            server.start()
            assert phone.texts() == acknowledged
            status, body, _ = phone.push("after")
            assert (status, body["results"][0]["status"]) == (200, "applied")
            assert phone.ask("PUT", path, data, "image/jpeg")[0] == 201
            assert phone.health(200) == []
            assert phone.texts() == sorted([*acknowledged, "after"])
        finally:
            server.stop()
