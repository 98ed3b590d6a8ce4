"""The commands as a person or a script uses them: what they answer, and how they complain."""

from __future__ import annotations

import json
import re
import socket
import sqlite3
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from tests.conftest import bare_app
from underboard.cli import main
from underboard.store import db, people

Command = Callable[..., tuple[int, str, str]]


@pytest.fixture
def command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Command:
    """Run one command on the data folder of this test; answers exit code, output and complaint."""

    def run(*words: str) -> tuple[int, str, str]:
        code = main([*words, "--data", str(tmp_path / "data")])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


@pytest.fixture
def store(tmp_path: Path, command: Command) -> Iterator[Flask]:
    """The store of the data folder, for what no command does."""
    command("migrate")
    app = bare_app(f"sqlite:///{tmp_path / 'data' / 'underboard.sqlite3'}")
    with app.app_context():
        yield app
        db.engine.dispose()


def facts(command: Command, *words: str) -> Any:
    code, out, err = command(*words, "--json")
    assert (code, err) == (0, ""), err
    return json.loads(out)


def test_the_demo_is_ready_to_serve_and_a_second_one_is_a_plot_of_its_own(command: Command) -> None:
    first, second = facts(command, "demo"), facts(command, "demo", "--seed", "7")
    assert first["plot_id"] != second["plot_id"]
    plots = {first["plot_id"], second["plot_id"]}
    for plot_id in plots:
        members = facts(command, "members", "--plot", plot_id)["members"]
        assert sorted(member["role"] for member in members) == ["helper", "helper", "owner"]
        devices = facts(command, "devices", "--plot", plot_id)["devices"]
        assert sorted(device["role"] for device in devices) == ["helper", "helper", "owner"]
    code, _, err = command("members")
    assert code == 2
    assert all(plot_id in err for plot_id in plots) and "--plot" in err


def test_a_code_for_scripts_is_json_and_lets_one_device_in(command: Command, store: Flask) -> None:
    plot_id = people.create_plot()
    code, out, _ = command("pair", "--plot", plot_id, "--show-code", "--role", "helper")
    answer = json.loads(out)
    assert code == 0
    assert answer["url"] == f"http://127.0.0.1:8350/#pair={answer['code']}"
    paired = people.use_code(answer["code"], "script", "token", datetime.now(UTC))
    assert (paired.plot_id, paired.role, paired.claimed) == (plot_id, "helper", False)


def test_a_code_for_people_is_short_and_drawn(command: Command, store: Flask) -> None:
    people.create_plot()
    code, out, _ = command("pair", "--address", "https://plot.example/")
    assert code == 0
    typed = re.search(r"type the code ([A-Z2-9]{4}-[A-Z2-9]{4})\.", out)
    assert typed is not None
    assert f"https://plot.example/#pair={typed.group(1)}" in out
    assert "█" in out or "▄" in out


def test_a_new_plot_begins_with_its_first_device(command: Command, store: Flask) -> None:
    answer = facts(command, "pair", "--new-plot")
    assert answer["plot_id"] is None
    paired = people.use_code(answer["code"], "phone", "cookie", datetime.now(UTC))
    assert (paired.role, paired.claimed, people.plots()) == ("owner", True, [paired.plot_id])


def test_a_device_can_be_put_out(command: Command, store: Flask) -> None:
    plot_id = people.create_plot()
    lost = people.add_device(plot_id, "lost phone", "helper", datetime.now(UTC)).device_id
    assert "lost phone (helper)" in command("devices")[1]
    assert facts(command, "devices", "--revoke", lost)["devices"] == []
    code, _, err = command("devices", "--revoke", lost)
    assert (code, err.count("\n")) == (2, 1)


def test_migrating_twice_changes_nothing(command: Command) -> None:
    assert facts(command, "migrate") == {"changed": True}
    assert facts(command, "migrate") == {"changed": False}


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("pair",), "There is no plot yet: begin one with `underboard pair --new-plot`."),
        (("pair", "--plot", "x"), "x"),
        (("serve", "--port", "99999"), "--port: port is a whole number from 1 to 65535, not '99999'."),
    ],
)
def test_a_mistake_is_one_plain_sentence(command: Command, words: tuple[str, ...], sentence: str) -> None:
    code, out, err = command(*words)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert sentence in err


def test_a_taken_port_is_one_plain_sentence(command: Command) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        code, _, err = command("serve", "--port", port)
    assert (code, err.count("\n")) == (2, 1)
    assert f"Port {port} on 127.0.0.1 can't be used" in err and "--port" in err
    assert "if Underboard runs already, stop it there first" in err


def test_a_broken_settings_file_is_one_plain_sentence(command: Command, tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "settings.toml").write_text("port = ")
    code, _, err = command("doctor")
    assert (code, err.count("\n")) == (2, 1)
    assert "settings.toml" in err


def test_a_database_of_a_later_version_is_left_alone(command: Command, store: Flask, tmp_path: Path) -> None:
    db.engine.dispose()
    file = tmp_path / "data" / "underboard.sqlite3"
    with sqlite3.connect(file) as connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    before = file.read_bytes()
    code, _, err = command("members")
    assert (code, err.count("\n")) == (2, 1)
    assert file.read_bytes() == before


def findings(command: Command) -> tuple[int, dict[str, tuple[str, str]]]:
    code, out, _ = command("doctor", "--json")
    return code, {one["about"]: (one["level"], one["words"]) for one in json.loads(out)["findings"]}


def test_the_doctor_finds_a_fresh_installation_well(command: Command, store: Flask) -> None:
    code, found = findings(command)
    assert code == 0
    assert {about: level for about, (level, _) in found.items()} == {
        "data folder": "ok", "clock": "ok", "disk": "ok", "keys": "ok",
        "last backup": "note", "https": "ok", "database": "ok", "phones": "ok", "channels": "ok", "jobs": "ok",
    }  # fmt: skip
    assert found["last backup"][1].startswith("never")


def test_the_doctor_names_what_is_wrong_and_the_way_out(
    command: Command, store: Flask, tmp_path: Path
) -> None:
    now = datetime.now(UTC)
    quiet = people.add_device(people.create_plot(), "Bo's phone", "helper", now).device_id
    people.touch(quiet, now - timedelta(days=12))
    key = tmp_path / "data" / "keys" / "claim_code"
    key.write_text("secret")
    key.chmod(0o644)
    (tmp_path / "data" / "last_backup").write_text((now - timedelta(days=30)).isoformat())
    code, found = findings(command)
    assert code == 1
    assert found["phones"] == (
        "note",
        "Bo's phone was last here 12 days ago: open the app on it at home, it may hold records.",
    )
    assert found["keys"][0] == "trouble" and "claim_code" in found["keys"][1] and "chmod" in found["keys"][1]
    assert found["last backup"][0] == "note" and "30 days ago" in found["last backup"][1]


def test_the_doctor_sees_a_damaged_database(command: Command, store: Flask, tmp_path: Path) -> None:
    db.engine.dispose()
    file = tmp_path / "data" / "underboard.sqlite3"
    raw = bytearray(file.read_bytes())
    raw[4096:12288] = b"\x55" * 8192
    file.write_bytes(raw)
    code, found = findings(command)
    assert code == 1
    assert found["database"][0] == "trouble" and "backup" in found["database"][1]


def test_the_doctor_can_be_asked_before_there_is_anything(command: Command) -> None:
    code, out, _ = command("doctor")
    assert code == 0
    assert "is not there yet" in out


def test_every_command_is_listed_with_a_line_of_help(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stop:
        main(["--help"])
    assert stop.value.code == 0
    said = capsys.readouterr().out
    for name in ("serve", "pair", "members", "devices", "demo", "warn", "migrate", "doctor"):
        assert re.search(rf"^    {name} +[A-Z]", said, re.MULTILINE), name
