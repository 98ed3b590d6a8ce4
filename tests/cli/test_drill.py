"""`underboard drill` as people run it: beside a server, on a file, on an encrypted one, and on what is not good."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.cli.test_backing_up import PASSPHRASE, Machine, Phone, with_photo
from tests.store.kept_plot import files_in, keep_photo, photo, settings_in, store_of
from tests.store.sender import COUNT, Sender, new_plot, put
from underboard.cli import main
from underboard.config import Settings
from underboard.store.backup.making import make_backup

ALL_THERE = {"records": 1, "photos named": 1, "photos asked": 1, "photos fetched": 1}


Said = tuple[int, str, str]


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str]) -> Callable[..., Said]:
    """Run one command in this process: exit code, output, complaint. The server of a drill is its own all the same."""

    def command(*words: str | Path) -> Said:
        code = main([str(word) for word in words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return command


def test_beside_a_server_on_sqlite_with_a_backup_of_its_own(tmp_path: Path) -> None:
    machine = Machine(tmp_path / "home")
    machine.data.mkdir()
    machine.start()
    phone = Phone(machine)
    phone.send_photo(photo(10))
    assert phone.push(with_photo("kept", photo(10))) == "applied"
    # This photo is still on its phone alone: nothing that the backup owes.
    assert phone.push(with_photo("not sent yet", photo(11))) == "applied"
    code, out, err = machine.say("drill", "--json")
    told = json.loads(out or err)
    assert (code, told["good"], told["differences"], told["photos_missing_before"]) == (0, True, [], {})
    assert told["plots"] == {phone.plot: {**ALL_THERE, "records": 2, "photos named": 2}}
    assert len(phone.notes()) == 2
    machine.stop()


def test_of_an_encrypted_file_with_its_passphrase_and_not_without(
    tmp_path: Path, say: Callable[..., Said]
) -> None:
    """On another machine, which has no key of its own."""
    home = settings_in(tmp_path / "home")
    plot = plot_with(home, photo(10))
    secret, file, other = tmp_path / "on_paper", tmp_path / "kept.age.tar", tmp_path / "other"
    secret.write_text(f"{PASSPHRASE}\n")
    assert say("backup", file, "--passphrase-file", secret, "--data", home.data)[0] == 0
    before = files_in(home.data)
    code, out, err = say("drill", file, "--data", other)
    assert (code, out) == (2, "") and "--passphrase-file" in err
    code, out, _ = say("drill", file, "--passphrase-file", secret, "--data", other, "--json")
    told = json.loads(out)
    assert (code, told["good"], told["plots"]) == (0, True, {plot.plot_id: ALL_THERE})
    assert not other.exists() and files_in(home.data) == before


def test_of_a_damaged_file_is_a_plain_no(tmp_path: Path, say: Callable[..., Said]) -> None:
    home = settings_in(tmp_path / "home")
    plot_with(home, photo(10))
    file = make_backup(home, tmp_path / "kept.tar", datetime.now(UTC)).file
    whole = bytearray(file.read_bytes())
    whole[len(whole) // 2] ^= 1
    file.write_bytes(whole)
    code, out, err = say("drill", file, "--data", home.data)
    assert (code, out, err.count("\n")) == (2, "", 1), err
    assert file.name in err


def test_a_photo_that_was_missing_before_excuses_no_other(tmp_path: Path, say: Callable[..., Said]) -> None:
    """One plot's photo was gone when the backup was made; another's is in it, and no server will hand it out."""
    home = settings_in(tmp_path / "home")
    gone, closed = photo(10), photo(99)
    first, second = plot_with(home, gone), plot_with(home, closed)
    missing = hashlib.sha256(gone).hexdigest()
    (home.blobs / first.plot_id / missing[:2] / missing).unlink()
    file = make_backup(home, tmp_path / "gone.tar", datetime.now(UTC)).file
    code, out, _ = say("drill", file, "--data", home.data, "--json")
    told = json.loads(out)
    assert (code, told["good"], told["differences"]) == (1, False, [])
    assert told["photos_missing_before"] == {first.plot_id: [missing]}
    assert told["plots"][first.plot_id] == {**ALL_THERE, "photos asked": 0, "photos fetched": 0}

    with closing(sqlite3.connect(home.data / "underboard.sqlite3")) as connection:
        connection.execute("DELETE FROM blob_name WHERE plot_id = ?", (second.plot_id,))
        connection.commit()
    file = make_backup(home, tmp_path / "closed.tar", datetime.now(UTC)).file
    code, out, err = say("drill", file, "--data", home.data)
    assert code == 1, out + err
    assert f"MISSING BEFORE: plot {first.plot_id}: 1 photo" in out and missing in out
    assert "already when the backup was made" in out
    assert f"NOT THE SAME: plot {second.plot_id}: 0 of 1 photos could be fetched" in out
    assert "is not good" in out and "all there" not in out


def plot_with(home: Settings, content: bytes) -> Sender:
    """A plot with one record that names a photo, which is there."""
    with store_of(home):
        (phone,) = new_plot("phone")
        named = keep_photo(home, phone, content)
        phone.push(put({**COUNT, "photos": [{"sha256": named, "bytes": len(content)}]}))
    return phone
