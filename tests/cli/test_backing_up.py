"""Backup, restore and drill as people run them: real commands, a real server on a real socket, both databases."""

from __future__ import annotations

import hashlib
import os
import pty
import subprocess
import sys
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.server import ServerProcess
from tests.cli.logger import Logger, note
from tests.store.kept_plot import photo
from tests.store.postgres import Cluster
from underboard.cli import main

PASSPHRASE = "five slugs under B07"


class Machine(ServerProcess):
    """A server and its commands on one database; looks for no warnings."""

    def __init__(self, data: Path, url: str = "") -> None:
        super().__init__(data)
        self.without_jobs()
        self.url_of_database = url
        if url:
            self._environment["UNDERBOARD_DATABASE_URL"] = url

    def say(self, *words: str) -> tuple[int, str, str]:
        """Run one command without a terminal: exit code, output, complaint."""
        command = [sys.executable, "-m", "underboard", *words, "--data", str(self.data)]
        done = subprocess.run(
            command,
            capture_output=True,
            text=True,
            env=self._environment,
            timeout=240,
            stdin=subprocess.DEVNULL,
        )
        return done.returncode, done.stdout, done.stderr

    def typed(self, answers: list[str], *words: str) -> tuple[int, str]:
        """Run one command at a terminal, where a person types."""
        command = [sys.executable, "-m", "underboard", *words, "--data", str(self.data)]
        pid, terminal = pty.fork()
        if pid == 0:
            os.execvpe(command[0], command, self._environment)
        said = b""
        try:
            while piece := os.read(terminal, 4096):
                said += piece
                if answers and said.rstrip().endswith(b":"):
                    os.write(terminal, answers.pop(0).encode() + b"\n")
        except OSError:
            pass  # the terminal is gone with its last process
        return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]), said.decode()


class Phone(Logger):
    """A paired device that also sends photos."""

    def send_photo(self, content: bytes) -> str:
        sha256 = hashlib.sha256(content).hexdigest()
        url = f"{self.url}/api/v1/plots/{self.plot}/blobs/{sha256}"
        request = urllib.request.Request(url, content, method="PUT")
        request.add_header("Authorization", f"Bearer {self.token}")
        request.add_header("Content-Type", "application/octet-stream")
        with urllib.request.urlopen(request, timeout=60) as answer:
            assert answer.status in (200, 201)
        return sha256

    def photo(self, sha256: str) -> bytes:
        request = urllib.request.Request(f"{self.url}/api/v1/plots/{self.plot}/blobs/{sha256}")
        request.add_header("Authorization", f"Bearer {self.token}")
        with urllib.request.urlopen(request, timeout=60) as answer:
            return bytes(answer.read())

    def notes(self) -> dict[str, Any]:
        page = self.ask(f"sync/pull?plot={self.plot}&limit=1000")
        return {one["id"]: one["body"] for one in page["records"] if not one["deleted"]}


def with_photo(text: str, content: bytes) -> dict[str, Any]:
    op = note(text)
    op["set"]["photos"] = [{"sha256": hashlib.sha256(content).hexdigest(), "bytes": len(content)}]
    return op


@pytest.fixture(params=["sqlite", "postgresql"])
def machine(
    request: pytest.FixtureRequest, tmp_path: Path, postgres: Cluster, migrated_postgres: str
) -> Iterator[Machine]:
    url = postgres.make("machine", migrated_postgres) if request.param == "postgresql" else ""
    (tmp_path / "home").mkdir()
    started = Machine(tmp_path / "home", url)
    yield started
    started.stop()
    if url:
        postgres.drop("machine")


def test_from_backup_to_drill_to_restore_twice_in_a_row(machine: Machine, tmp_path: Path) -> None:
    """The whole way on a running server: yesterday's backup, today's records and photo, the disk, and back."""
    machine.start()
    phone = Phone(machine)
    first = phone.epoch()
    yesterday = with_photo("yesterday", photo(10))
    phone.send_photo(photo(10))
    assert phone.push(yesterday) == "applied"
    made = machine.run("backup", str(tmp_path / "kept.tar"))
    assert (made["records"], made["photos"], made["encrypted"]) == (1, 1, False)

    today = with_photo("today", photo(99))
    phone.send_photo(photo(99))
    assert phone.push(today) == "applied"
    truth = phone.notes()
    code, _, err = machine.say("restore", str(tmp_path / "kept.tar"))
    assert code == 2 and "stop it" in err and phone.notes() == truth
    if machine.url_of_database:  # SQLite, and a file that is given: test_drill.py
        tried = machine.run("drill")
        expected = {"records": 2, "photos named": 2, "photos asked": 2, "photos fetched": 2}
        assert tried["good"] and tried["plots"] == {phone.plot: expected}
    assert phone.notes() == truth
    machine.stop()

    epochs = {first}
    times = (
        1 if machine.url_of_database else 2
    )  # twice on PostgreSQL: tests/store/test_backup.py, tests/faults
    for _ in range(times):
        told = machine.run("restore", str(tmp_path / "kept.tar"))
        assert told["plots"] == {phone.plot: 1} and Path(told["aside"]).exists()
        machine.start()
        epochs.add(phone.epoch())
        assert [phone.push(op) for op in (yesterday, today)] == ["duplicate", "applied"]
        assert phone.notes() == truth
        for content in (
            photo(10),
            photo(99),
        ):  # the newer one lay on the disk, whatever the phones still have
            assert phone.photo(hashlib.sha256(content).hexdigest()) == content
        machine.stop()
    assert len(epochs) == 1 + times


def test_encrypted_onto_a_new_machine_with_keys(tmp_path: Path) -> None:
    """The library's own passphrase lock, once: seconds to make and seconds to open, by a file and by hand."""
    machine = Machine(tmp_path / "home")
    machine.run("migrate")
    (machine.data / "keys" / "backup_passphrase").write_text(f"{PASSPHRASE}\n")
    (machine.data / "keys" / "backup_passphrase").chmod(0o600)
    (machine.data / "keys" / "mail_password").write_text("straw\n")
    (machine.data / "settings.toml").write_text('backup_folder = "kept"\n')
    made = machine.run("backup")
    assert made["encrypted"] and Path(made["file"]).parent == machine.data / "kept"
    other = Machine(tmp_path / "other")
    code, _, err = other.say("restore", made["file"])
    assert code == 2 and "--passphrase-file" in err and not other.data.exists()
    code, said = other.typed([PASSPHRASE], "restore", made["file"])
    assert code == 0, said
    assert PASSPHRASE not in said and "Put back" in said
    assert (other.data / "keys" / "mail_password").read_text() == "straw\n"
    assert (other.data / "server_id").read_text() == (machine.data / "server_id").read_text()
    assert (other.data / "settings.toml").read_text() == 'backup_folder = "kept"\n'
    # The same machine needs nobody to type: its key lies beside the passphrase.
    assert machine.run("restore", made["file"])["keys"]


def test_the_server_says_what_is_wrong_with_its_database_and_changes_nothing(tmp_path: Path) -> None:
    machine = Machine(tmp_path / "home")
    machine.data.mkdir()
    machine.start()
    phone = Phone(machine)
    for number in range(40):
        phone.push(note(f"number {number} " + "x" * 3000))
    machine.run("backup", str(tmp_path / "kept.tar"))
    truth = phone.notes()
    machine.stop()
    file = machine.data / "underboard.sqlite3"
    whole = file.read_bytes()
    pages = len(whole) // 4096
    torn = bytearray(whole)
    for page in range(pages // 2, pages):
        torn[page * 4096 : page * 4096 + 64] = bytes(64)
    for bad, word in (
        (bytes(torn), "damaged"),
        (b"no database " * 800, "damaged"),
        (b"", "empty"),
        (None, "gone"),
    ):
        file.unlink() if bad is None else file.write_bytes(bad)
        code, out, err = machine.say("serve", "--port", str(machine.port))
        assert (code, err.count("\n")) == (2, 1), out + err
        assert (
            word in err
            and f"underboard restore --data {machine.data}" in err
            and "Nothing was changed" in err
        )
        assert (file.read_bytes() if file.exists() else None) == bad
    file.write_bytes(bytes(torn))
    code, out, _ = machine.say("doctor")
    assert code == 1 and "damaged" in out and "restore" in out
    told = machine.run("restore", str(tmp_path / "kept.tar"))
    assert (Path(told["aside"]) / file.name).read_bytes() == bytes(torn)
    machine.start()
    assert phone.notes() == truth
    machine.stop()


def test_commands_complain_in_a_sentence(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    home = tmp_path / "home"

    def complaint(*words: str) -> str:
        assert main([*words, "--data", str(home)]) == 2
        said = capsys.readouterr()
        assert (said.out, said.err.count("\n")) == ("", 1)
        return said.err

    for words in (("backup", "x.tar"), ("drill",), ("restore", str(tmp_path / "none.tar"))):
        complaint(*words)
    assert not home.exists()
    assert main(["migrate", "--data", str(home)]) == 0
    capsys.readouterr()
    assert "backup_folder" in complaint("backup")
    unplugged = tmp_path / "stick"
    assert "plug in" in complaint("backup", f"{unplugged}/")
    (home / "settings.toml").write_text(f'backup_folder = "{unplugged}"\n')
    assert "plug in" in complaint("backup") and not unplugged.exists()
    (home / "keys" / "backup_passphrase").write_text("short\n")
    assert "shorter than 8" in complaint("backup", str(tmp_path / "x.tar"))
    (home / "settings.toml").write_text('backup_at = "25:00"\n')
    assert "backup_at is a time" in complaint("backup", str(tmp_path / "x.tar"))
