"""Each thing that can be wrong is named by `underboard doctor` with its cause and what to do; and by nothing else.

Further: jobs in test_warn.py, ways of warnings in test_channel_check.py, certificates in test_certificate.py, backups
in test_backing_up.py, disks that fail under a running server in tests/faults/test_broken_disks.py.
"""

from __future__ import annotations

import json
import shutil
import sqlite3
from collections import namedtuple
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest
import time_machine

from underboard.cli import doctor, main

Break = Callable[[Path, pytest.MonkeyPatch], None]
Usage = namedtuple("Usage", "total used free")


def clock_of_a_dead_battery(data: Path, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(doctor, "EARLIEST", datetime(2999, 1, 1, tzinfo=UTC))


def little_room(data: Path, patch: pytest.MonkeyPatch) -> None:
    patch.setattr(shutil, "disk_usage", lambda _path: Usage(10**10, 10**10 - 2 * 10**8, 2 * 10**8))


def readable_key(data: Path, patch: pytest.MonkeyPatch) -> None:
    (data / "keys" / "push_key.pem").write_text("secret")
    (data / "keys" / "push_key.pem").chmod(0o644)


def later_version(data: Path, patch: pytest.MonkeyPatch) -> None:
    with closing(sqlite3.connect(data / "underboard.sqlite3")) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
        connection.commit()


def no_database_server(data: Path, patch: pytest.MonkeyPatch) -> None:
    patch.setenv("UNDERBOARD_DATABASE_URL", "postgresql://nobody@127.0.0.1:9/none")


def not_a_database(data: Path, patch: pytest.MonkeyPatch) -> None:
    (data / "underboard.sqlite3").write_bytes(b"no database " * 800)


CAUSES: list[tuple[Break, str, tuple[str, ...]]] = [
    (clock_of_a_dead_battery, "clock", ("set it",)),
    (little_room, "disk", ("0.2 GB free", "make room")),
    (readable_key, "keys", ("push_key.pem", "chmod")),
    (later_version, "database", ("newer Underboard", "Install that version")),
    (no_database_server, "database", ("can't be opened", "127.0.0.1")),
    (not_a_database, "database", ("damaged", "underboard restore")),
]


@pytest.mark.parametrize(("break_it", "about", "words"), CAUSES, ids=lambda one: getattr(one, "__name__", ""))
def test_the_cause_is_named(
    break_it: Break,
    about: str,
    words: tuple[str, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    data = tmp_path / "data"
    assert main(["migrate", "--data", str(data)]) == 0
    capsys.readouterr()
    break_it(data, monkeypatch)
    assert main(["doctor", "--json", "--data", str(data)]) == 1
    found = json.loads(capsys.readouterr().out)["findings"]
    troubles = [(one["about"], one["words"]) for one in found if one["level"] == "trouble"]
    assert [name for name, _ in troubles] == [about], "one cause, one complaint"
    assert all(word in troubles[0][1] for word in words), troubles


def test_the_clock_is_told_as_it_is(tmp_path: Path) -> None:
    with time_machine.travel("2019-06-01T00:00:00Z", tick=False):
        found = doctor._clock()
    assert (found.level, "2019-06-01" in found.words) == ("trouble", True)
