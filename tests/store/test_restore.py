"""An older database comes back while phones hold newer data that was acknowledged."""

from __future__ import annotations

import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from flask import Flask

from tests.conftest import bare_app
from tests.store.sender import COUNT, Sender, new_plot, put, statuses
from underboard.store import db, sync_store
from underboard.store.database import settle
from underboard.store.restore import (
    LONG,
    begin_new_epochs,
    check_high_water,
    note_high_water,
    read_marks,
    write_high_water,
)


@contextmanager
def running(path: Path) -> Iterator[list[str]]:
    """Start on a data folder as `serve` does; gives the plots that were found to be behind."""
    app = bare_app(f"sqlite:///{path}")
    with app.app_context():
        yield check_high_water(path.parent / "high_water.json")
        db.engine.dispose()


@pytest.fixture
def file(migrated_sqlite: Path, tmp_path: Path) -> Path:
    path = tmp_path / "underboard.sqlite3"
    shutil.copyfile(migrated_sqlite, path)
    return path


def test_yesterdays_file_copied_back_twice_loses_nothing(file: Path) -> None:
    old, corrected, fresh = put(COUNT), put({"count": 9}, base=1), put(COUNT)
    corrected["id"] = old["id"]
    with running(file):
        (phone,) = new_plot("A")
        first_epoch = sync_store.epoch_of(phone.plot_id)
        assert statuses(phone.push({**old, "base_epoch": first_epoch})) == ["applied"]
    yesterday = file.with_name("yesterday")
    shutil.copyfile(file, yesterday)
    archive = [{**op, "base_epoch": first_epoch} for op in (old, corrected, fresh)]
    with running(file) as behind:
        assert behind == [] and sync_store.epoch_of(phone.plot_id) == first_epoch
        assert statuses(phone.push(*archive)) == ["duplicate", "applied", "applied"]
        truth = phone.pull_all()[0]

    epochs = {first_epoch}
    for _ in range(2):
        assert not file.with_name(file.name + "-wal").exists()
        shutil.copyfile(yesterday, file)
        with running(file) as behind:
            assert behind == [phone.plot_id]
            epochs.add(sync_store.epoch_of(phone.plot_id))
            assert [r["body"]["count"] for r in phone.pull_all()[0]] == [5]
            assert statuses(phone.push(*archive)) == ["duplicate", "applied", "applied"]
            assert phone.pull_all()[0] == truth
    assert len(epochs) == 3


def test_a_server_that_was_only_stopped_keeps_its_epoch(file: Path) -> None:
    with running(file):
        (phone,) = new_plot("A")
        phone.push(put(COUNT))
        epoch = sync_store.epoch_of(phone.plot_id)
        write_high_water(file.parent / "high_water.json")
    for _ in range(2):
        with running(file) as behind:
            assert behind == [] and sync_store.epoch_of(phone.plot_id) == epoch


def test_the_marks_of_a_whole_season_stay_a_short_file(tmp_path: Path) -> None:
    path = tmp_path / "high_water.json"
    for seq in range(1, 3001):
        note_high_water(path, f"plot {seq % 40}", "an epoch of usual length, 36 letters", seq)
    note_high_water(path, "plot 7", "an epoch of usual length, 36 letters", 5)
    assert path.stat().st_size < 2 * LONG
    marks = read_marks(path)
    assert {name: mark["seq"] for name, mark in marks.items()} == {
        f"plot {seq % 40}": seq for seq in range(2961, 3001)
    }
    path.write_bytes(path.read_bytes()[:-9])
    assert len(read_marks(path)) == 40


@pytest.mark.parametrize("text", ["", "{", "[]", '{"x": 5}', '{"x": {"epoch": 1}}'])
def test_a_mark_in_pieces_says_nothing(file: Path, text: str) -> None:
    with running(file):
        (phone,) = new_plot("A")
        epoch = sync_store.epoch_of(phone.plot_id)
    (file.parent / "high_water.json").write_text(text)
    with running(file) as behind:
        assert behind == [] and sync_store.epoch_of(phone.plot_id) == epoch
        phone.push(put(COUNT))


def test_after_a_restore_an_old_base_overwrites_nothing(database_app: Flask) -> None:
    """Revision 2 was given out twice: once before the restore and once after it."""
    a, b = new_plot("A", "B")
    made = put(COUNT)
    a.push(made)
    before = sync_store.epoch_of(a.plot_id)
    begin_new_epochs()
    now = sync_store.epoch_of(a.plot_id)
    assert now != before
    assert statuses(a.push(put({"count": 6}, made["id"], 1, base_epoch=now))) == ["applied"]
    (result,) = b.push(put({"count": 7}, made["id"], 2, base_epoch=before))
    assert result["status"] == "conflict"
    assert result["record"]["body"]["count"] == 6
    assert [kept["set"] for kept in result["record"]["conflicts"]] == [{"count": 7}]


def test_after_two_restores_the_history_before_the_first_counts_for_nothing(database_app: Flask) -> None:
    """Revision 3 that B saw is not revision 3 of the history that was backed up between the two."""
    a, b = new_plot("A", "B")
    made = put(COUNT)
    a.push(made, put({"note": "wet"}, made["id"], 1))
    first = sync_store.epoch_of(a.plot_id)
    begin_new_epochs()
    second = sync_store.epoch_of(a.plot_id)
    assert statuses(a.push(put({"count": 6}, made["id"], 2, base_epoch=second))) == ["applied"]
    begin_new_epochs()
    (result,) = b.push(put({"count": 7}, made["id"], 3, base_epoch=first))
    assert (result["status"], result["record"]["body"]["count"]) == ("conflict", 6)


def test_a_record_that_only_phones_still_have_comes_back_in_any_order(database_app: Flask) -> None:
    """The edit of B arrives before the record itself, which A made; it does not say what type it is."""
    a, b = new_plot("A", "B")
    made = put(COUNT)
    edit = put({"note": "under the straw"}, made["id"], 1, base_epoch="before")
    del edit["type"]
    assert statuses(b.push(edit)) == ["applied"]
    (waiting,) = b.pull_all()[0]
    assert waiting["body"] == {"note": "under the straw"}
    assert statuses(a.push({**made, "base_epoch": "before"})) == ["merged"]
    record = a.record(made["id"])
    assert record["body"] == {**COUNT, "note": "under the straw"} and record["type"] == "slug_count"
    assert record["conflicts"] == []


def test_an_edit_that_was_handed_to_another_phone_waits_for_its_record(database_app: Flask) -> None:
    """A phone that dies hands its unsent edit to B as a file; the record itself, sent before, is lost in a restore.

    The edit follows an operation of an epoch that is over: it is kept. Of this epoch it could follow a record that
    was refused: then so is it.
    """
    a, b = new_plot("A", "B")
    made = put(COUNT)
    edit = put({"count": 8}, made["id"], 0, after=[made["op_id"]], base_epoch="before")
    assert statuses(b.push(edit)) == ["applied"]
    assert statuses(a.push({**made, "base_epoch": "before"})) == ["conflict"]
    record = a.record(made["id"])
    assert record["body"]["count"] == 8
    assert [kept["set"] for kept in record["conflicts"]] == [COUNT]
    now = sync_store.epoch_of(a.plot_id)
    assert statuses(b.push(put({"count": 8}, base=0, after=[made["op_id"]], base_epoch=now))) == ["rejected"]


def test_one_phone_after_a_restore_of_everything(database_app: Flask) -> None:
    (phone,) = new_plot("A")
    ops = [put(COUNT) for _ in range(30)]
    phone.push(*ops)
    begin_new_epochs()
    again = Sender(phone.plot_id, phone.device_id)
    assert statuses(again.push(*ops)) == ["duplicate"] * 30
    assert len(again.pull_all()[0]) == 30


LEAVE = """
import os, sys
from tests.conftest import bare_app
from tests.store.sender import COUNT, new_plot, put
with bare_app(sys.argv[1]).app_context():
    new_plot("A")[0].push(put(COUNT))
    os._exit(0)
"""


def test_the_file_alone_is_whole_once_a_worker_that_was_ended_is_settled(file: Path) -> None:
    """A worker that ends without closing leaves its newest rows beside the file; a copy of it would lack them."""
    url = f"sqlite:///{file}"
    root = Path(__file__).parents[2]
    subprocess.run([sys.executable, "-c", LEAVE, url], check=True, timeout=240, cwd=root)
    log = file.with_name(file.name + "-wal")
    assert log.stat().st_size > 0
    settle(url)
    assert not log.exists() or log.stat().st_size == 0
    copy = file.with_name("copy")
    shutil.copyfile(file, copy)
    with sqlite3.connect(copy) as connection:
        assert connection.execute("SELECT count(*) FROM record").fetchone() == (1,)
    connection.close()
    settle(f"sqlite:///{file.parent / 'not_there'}")
    assert not (file.parent / "not_there").exists()
