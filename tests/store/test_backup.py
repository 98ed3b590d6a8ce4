"""Backups of either database, put back into either: every row and every byte, or nothing at all."""

from __future__ import annotations

import io
import os
import sqlite3
import tarfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pyrage
import pytest

from tests.store.kept_plot import (
    MOMENT,
    PASSPHRASE,
    Rows,
    all_rows,
    files_in,
    keep_photo,
    no_key,
    photo,
    store_of,
)
from tests.store.postgres import Cluster
from tests.store.sender import COUNT, Sender, put, statuses
from underboard.config import Settings
from underboard.core.errors import BackupFailed, FolderInUse, PassphraseWrong
from underboard.store import feeds, people, sync_store, targets
from underboard.store.backup.making import Made, make_backup, rotate
from underboard.store.backup.restoring import restore
from underboard.store.backup.sealing import SealingKey, kept_sealing_key, unlock
from underboard.store.folder_use import in_use


def after_a_restore(before: Rows) -> Rows:
    """What a restore makes of rows, by its own words: another epoch, revisions trusted as far as they came, a note."""
    gone = {"sync_clock": 1, "record": 7}
    return {
        table: sorted((row[: gone[table]] + row[gone[table] + 1 :] for row in rows), key=repr)
        for table, rows in before.items()
        if table in gone
    } | {table: rows for table, rows in before.items() if table not in gone and table != "audit"}


@pytest.mark.parametrize("onto", ["sqlite", "postgresql"])
def test_every_row_and_photo_comes_back_on_either_database(
    home: Settings,
    onto: str,
    tmp_path: Path,
    postgres: Cluster,
    migrated_postgres: str,
    sealing_key: SealingKey,
) -> None:
    before, now = all_rows(home.database), MOMENT
    made = make_backup(home, tmp_path / "all.tar", now, key=sealing_key)
    assert made.contents.manifest.photos == 1 and not made.contents.manifest.photos_missing
    url = postgres.make(f"onto_{home.database[:6]}", migrated_postgres) if onto == "postgresql" else ""
    there = Settings(data=tmp_path / "there", database_url=url)
    restore(there, made.file, lambda _locked, _shown: sealing_key.identity, now)

    after = all_rows(there.database)
    assert after_a_restore(after) == after_a_restore(before)
    assert [row[1] for row in after["sync_clock"]] != [row[1] for row in before["sync_clock"]]
    assert all(row[7] == row[3] for row in after["record"])
    assert set(after["audit"]) > set(before["audit"])
    assert (there.keys.stat().st_mode & 0o777, there.settings_file.stat().st_mode & 0o777) == (0o700, 0o600)
    old, new = files_in(home.data), files_in(there.data)
    assert {name: new[name] for name in new if name.startswith(("blobs/", "keys/"))} == {
        name: old[name] for name in old if name.startswith(("blobs/", "keys/"))
    }
    assert (new["settings.toml"], new["server_id"]) == (old["settings.toml"], old["server_id"])
    with store_of(there):  # and the counters go on
        people.add_device(people.plots()[0], "after", "helper", now)
    if url:
        postgres.drop(url.rpartition("/")[2])


def test_a_backup_is_of_one_moment_while_others_write(home: Settings, tmp_path: Path) -> None:
    """Every push writes record, change and ledger together; a copy that tears one apart would show it."""
    import threading

    stop, faults = threading.Event(), []

    def write() -> None:
        try:
            with store_of(home):
                phone = Sender(people.plots()[0], people.devices(people.plots()[0])[0].id)
                while not stop.is_set():
                    made = put(COUNT)
                    edit = put({"count": 9}, made["id"], 1, after=[made["op_id"]])
                    assert statuses(phone.push(made, edit, put(COUNT))) == ["applied"] * 3
        except Exception as fault:
            faults.append(fault)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        counts = [make_backup(home, tmp_path / f"{n}.tar", MOMENT).contents.manifest.tables for n in range(3)]
    finally:
        stop.set()
        writer.join()
    assert faults == []
    assert counts[0]["record"] < counts[2]["record"]
    grown = [{table: one[table] - counts[0][table] for table in one} for one in counts]
    assert all(one["record"] == one["change_apart"] == one["op_result_apart"] for one in grown)
    assert all(one["record"] % 2 == 0 for one in grown)


def test_without_a_passphrase_no_secret_is_in_it(plain_home: Settings, tmp_path: Path) -> None:
    made = make_backup(plain_home, tmp_path, MOMENT)
    assert made.file.name == "underboard-20260601T030000Z.tar" and made.file.stat().st_mode & 0o777 == 0o600
    with tarfile.open(made.file) as tar:
        names = tar.getnames()
    assert names[0] == "READ_ME.txt" and names[-1] == "manifest.json"
    assert not [name for name in names if "keys" in name]
    assert b"under the straw" not in made.file.read_bytes()
    assert datetime.fromisoformat(plain_home.backup_note.read_text().strip()) == MOMENT


def test_an_encrypted_one_opens_with_the_passphrase_and_tells_nothing_without(
    plain_home: Settings, tmp_path: Path, sealing_key: SealingKey
) -> None:
    made = make_backup(plain_home, tmp_path, MOMENT, key=sealing_key)
    content = made.file.read_bytes()
    assert b"SQLite format 3" not in content and b"blob_quota_mb" not in content
    with pytest.raises(PassphraseWrong):
        unlock(sealing_key.locked, "six slugs under B07", "it")
    # By the library alone, as its READ_ME says, without a line of ours.
    with tarfile.open(made.file) as tar:
        parts = {name: (tar.extractfile(name) or io.BytesIO()).read() for name in tar.getnames()}
    identity = pyrage.passphrase.decrypt(parts["key.age"], PASSPHRASE).decode().strip()
    assert identity == unlock(sealing_key.locked, PASSPHRASE, "it") == sealing_key.identity
    inner = pyrage.decrypt(parts["content.age"], [pyrage.x25519.Identity.from_str(identity)])
    with tarfile.open(fileobj=io.BytesIO(inner)) as tar:
        assert "keys/mail_password" in tar.getnames() and "keys/claim_code" not in tar.getnames()


def test_the_kept_key_is_made_once_and_anew_for_another_passphrase(
    tmp_path: Path, sealing_key: SealingKey, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = iter([sealing_key, SealingKey("AGE-SECRET-KEY-OTHER", b"other")])
    monkeypatch.setattr("underboard.store.backup.sealing.new_sealing_key", lambda _passphrase: next(made))
    assert kept_sealing_key(tmp_path, PASSPHRASE) == kept_sealing_key(tmp_path, PASSPHRASE) == sealing_key
    assert {path.stat().st_mode & 0o777 for path in tmp_path.iterdir()} == {0o600}
    assert kept_sealing_key(tmp_path, "another one").locked == b"other"


def test_a_damaged_database_is_not_backed_up_over_a_good_backup(plain_home: Settings, tmp_path: Path) -> None:
    good = make_backup(plain_home, tmp_path / "kept.tar", MOMENT).file.read_bytes()
    file = plain_home.data / "underboard.sqlite3"
    with sqlite3.connect(file) as connection:
        (page,) = connection.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = 'op_result_apart'"
        ).fetchone()
    connection.close()
    whole = bytearray(file.read_bytes())
    whole[(page - 1) * 4096 : page * 4096] = os.urandom(4096)
    file.write_bytes(whole)
    with pytest.raises(BackupFailed, match="damaged"):
        make_backup(plain_home, tmp_path / "kept.tar", MOMENT)
    assert (tmp_path / "kept.tar").read_bytes() == good
    restored = restore(plain_home, tmp_path / "kept.tar", no_key, MOMENT)
    assert restored.aside is not None and (restored.aside / file.name).read_bytes() == bytes(whole)
    assert make_backup(plain_home, tmp_path, MOMENT).contents.manifest.records == 3


def test_a_photo_that_is_gone_or_rotten_is_said_and_does_not_stop_the_backup(
    plain_home: Settings, tmp_path: Path
) -> None:
    (named,) = [name for name in files_in(plain_home.data) if name.startswith("blobs/")]
    path = plain_home.data / named
    plot, _, sha256 = named.removeprefix("blobs/").split("/")
    path.write_bytes(path.read_bytes()[:-1] + b"?")
    made = make_backup(plain_home, tmp_path / "rotten.tar", MOMENT)
    assert made.contents.photos_damaged == (f"{plot}/{sha256}",)
    there = Settings(data=tmp_path / "there")
    assert restore(there, made.file, no_key, MOMENT).photos_lacking == 1
    assert not [name for name in files_in(there.data) if name.startswith("blobs/")]
    path.unlink()
    assert make_backup(plain_home, tmp_path / "gone.tar", MOMENT).contents.manifest.photos_missing == (
        f"{plot}/{sha256}",
    )


def test_who_was_put_out_stays_out_and_newer_photos_stay(home: Settings, tmp_path: Path) -> None:
    with store_of(home):
        (plot,) = people.plots()
        feeds.make_feed(plot, MOMENT)
        stays, goes = people.devices(plot)
    made = make_backup(home, tmp_path / "b.tar", MOMENT)
    with store_of(home):
        people.revoke(plot, goes.id, MOMENT, stays.id)
        later = people.add_device(plot, "bought later", "helper", MOMENT)
        feeds.revoke_feed(plot)
        (mail,) = [one for one in all_rows(home.database)["mail_target"]]
        targets.stop_address(mail[3], MOMENT)
        newer = keep_photo(home, Sender(plot, stays.id), photo(7))
    restored = restore(home, made.file, no_key, MOMENT)
    assert (restored.carried.devices, restored.carried.put_out) == (1, 1)
    with store_of(home):
        assert {one.id for one in people.devices(plot)} == {stays.id, later.device_id}
        assert feeds.feed_of(plot) is None
    rows = all_rows(home.database)
    assert rows["mail_target"][0][5] is not None
    assert newer in {row[1] for row in rows["blob"]}
    assert (home.blobs / plot / newer[:2] / newer).read_bytes() == photo(7)


def test_a_folder_in_use_is_not_touched(plain_home: Settings, tmp_path: Path) -> None:
    made = make_backup(plain_home, tmp_path / "b.tar", MOMENT)
    before = files_in(plain_home.data)
    with in_use(plain_home.use_lock), in_use(plain_home.use_lock), pytest.raises(FolderInUse):
        restore(plain_home, made.file, no_key, MOMENT)
    assert files_in(plain_home.data) == before
    with in_use(plain_home.use_lock, alone=True), pytest.raises(FolderInUse), in_use(plain_home.use_lock):
        pass


def test_a_server_elsewhere_on_the_same_postgresql_is_noticed(
    tmp_path: Path, postgres: Cluster, migrated_postgres: str, plain_home: Settings
) -> None:
    made = make_backup(plain_home, tmp_path / "b.tar", MOMENT)
    there = Settings(data=tmp_path / "there", database_url=postgres.make("elsewhere", migrated_postgres))
    with store_of(there):
        assert people.plots() == []
        with pytest.raises(FolderInUse, match="database"):
            restore(there, made.file, no_key, MOMENT)
        assert people.plots() == []
    assert restore(there, made.file, no_key, MOMENT).manifest.records == 3
    assert (there.data / "server_id").read_bytes() == (plain_home.data / "server_id").read_bytes()
    postgres.drop("elsewhere")


def test_own_settings_and_keys_stay_and_another_database_is_not_named(
    plain_home: Settings, tmp_path: Path
) -> None:
    plain_home.settings_file.write_text('log_level = "debug"\ndatabase_url = "postgresql://elsewhere/x"\n')
    made = make_backup(plain_home, tmp_path / "b.tar", MOMENT)
    fresh = Settings(data=tmp_path / "fresh")
    restore(fresh, made.file, no_key, MOMENT)
    lines = fresh.settings_file.read_text().splitlines()
    assert lines[0] == 'log_level = "debug"' and lines[1].startswith("# ") and len(lines) == 2
    own = Settings(data=tmp_path / "own")
    own.data.mkdir()
    own.settings_file.write_text("port = 9000\n")
    assert restore(own, made.file, no_key, MOMENT).settings_beside
    assert own.settings_file.read_text() == "port = 9000\n"
    assert "elsewhere" in (own.data / "settings.from-backup.toml").read_text()


def test_what_a_killed_backup_left_behind_is_taken_away(plain_home: Settings, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()
    (folder / ".underboard-part-abc.part").write_bytes(b"half")
    (plain_home.data / ".backup-abc").mkdir()
    (plain_home.data / ".backup-abc" / "copy.sqlite3").write_bytes(b"half")
    made = make_backup(plain_home, folder, MOMENT)
    assert [path.name for path in folder.iterdir()] == [made.file.name]
    assert not (plain_home.data / ".backup-abc").exists()


def test_rotation_keeps_days_weeks_and_months_and_other_files(tmp_path: Path) -> None:
    """Four hundred nightly backups, rotated each night, against a plain reckoning of the calendar."""
    settings, first = Settings(data=tmp_path), datetime(2024, 11, 26, 3, tzinfo=UTC)
    (tmp_path / "underboard-notes.tar").write_text("mine")
    (tmp_path / "photo.jpg").write_text("mine")
    for night in (first + timedelta(days=number) for number in range(400)):
        (tmp_path / f"underboard-{night:%Y%m%dT%H%M%S}Z{'.age' * (night.day % 2)}.tar").write_text("")
        rotate(settings, tmp_path)
    last = first + timedelta(days=399)  # Tuesday 30 December 2025
    assert f"{last:%A %Y-%m-%d}" == "Tuesday 2025-12-30"
    days = {last - timedelta(days=n) for n in range(7)}
    sundays = {last - timedelta(days=2 + 7 * n) for n in range(4)}  # the last night of each earlier week
    months = {datetime(2025, month, 1, 3, tzinfo=UTC) - timedelta(days=1) for month in range(2, 13)}
    kept = {path.name[11:19] for path in tmp_path.glob("underboard-2*.tar")}
    assert kept == {f"{moment:%Y%m%d}" for moment in days | sundays | months | {last}}
    assert (tmp_path / "underboard-notes.tar").exists() and (tmp_path / "photo.jpg").exists()


def test_phones_bring_back_what_a_restore_lacks_twice_in_a_row(home: Settings, tmp_path: Path) -> None:
    with store_of(home):
        plot = people.plots()[0]
        phone = Sender(plot, people.devices(plot)[0].id)
        first = sync_store.epoch_of(plot)
        early = {**put(COUNT), "base_epoch": first}
        phone.push(early)
    made = make_backup(home, tmp_path / "b.tar", MOMENT)
    late = {**put({**COUNT, "count": 8}), "base_epoch": first}
    with store_of(home):
        phone.push(late)
        truth = {record["id"]: record["body"] for record in phone.pull_all()[0]}
    epochs = {first}
    for _ in range(2):
        restore(home, made.file, no_key, MOMENT)
        with store_of(home):
            epochs.add(sync_store.epoch_of(plot))
            assert statuses(phone.push(early, late)) == ["duplicate", "applied"]
            assert {record["id"]: record["body"] for record in phone.pull_all()[0]} == truth
    assert len(epochs) == 3


def test_made_says_what_it_holds(plain_home: Settings, tmp_path: Path) -> None:
    made: Made = make_backup(plain_home, tmp_path, MOMENT)
    manifest = made.contents.manifest
    assert (manifest.records, manifest.photos, manifest.kept_in) == (3, 1, "sqlite")
    (counts,) = manifest.plots.values()
    assert (counts["record"], counts["device"], counts["conflict"], counts["change_apart"]) == (4, 2, 1, 7)
