"""Archives that are broken, foreign or newer, and disks that are full: nothing is changed by any of them."""

from __future__ import annotations

import io
import json
import random
import re
import resource
import tarfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tests.store.kept_plot import MOMENT, files_in, no_key
from underboard.config import Settings
from underboard.core.errors import BackupBroken, BackupFailed, StoreNewer
from underboard.store.backup.making import make_backup
from underboard.store.backup.reading import read_backup
from underboard.store.backup.restoring import restore
from underboard.store.backup.sealing import SealingKey


@pytest.mark.parametrize("sealed", [False, True])
def test_a_file_that_was_cut_or_changed_is_refused_or_is_the_same(
    plain_home: Settings, tmp_path: Path, sealing_key: SealingKey, sealed: bool
) -> None:
    """At 30 random places each. A tar has places that mean nothing: there, what comes out must be the same."""
    made = make_backup(plain_home, tmp_path / "good.tar", MOMENT, key=sealing_key if sealed else None)
    good, chance, refused = made.file.read_bytes(), random.Random(20261126), 0
    before = files_in(plain_home.data)
    for number in range(60):
        place = chance.randrange(len(good))
        cut = number % 2 == 0
        bad = good[:place] if cut else good[:place] + bytes([good[place] ^ 0x41]) + good[place + 1 :]
        file, into = tmp_path / "bad.tar", tmp_path / f"into{number}"
        file.write_bytes(bad)
        into.mkdir()
        try:
            found = read_backup(file, lambda _l, _s: sealing_key.identity, into)
            assert found.manifest.members == made.contents.manifest.members
            assert not cut or set(good[place:]) == {0}
        except BackupBroken:
            refused += 1
            with pytest.raises(BackupBroken):
                restore(plain_home, file, lambda _l, _s: sealing_key.identity, MOMENT)
    assert refused >= 40
    assert files_in(plain_home.data) == before


def _repacked(
    source: Path, target: Path, change: Callable[[str, bytes], list[tuple[tarfile.TarInfo, bytes]]]
) -> Path:
    with tarfile.open(source) as old, tarfile.open(target, "w", format=tarfile.GNU_FORMAT) as new:
        for info in old:
            for fresh, content in change(info.name, (old.extractfile(info) or io.BytesIO()).read()):
                fresh.size = len(content)
                new.addfile(fresh, io.BytesIO(content))
    return target


def _same(name: str, content: bytes) -> list[tuple[tarfile.TarInfo, bytes]]:
    return [(tarfile.TarInfo(name), content)]


def _with(
    name: str, kind: bytes = tarfile.REGTYPE
) -> Callable[[str, bytes], list[tuple[tarfile.TarInfo, bytes]]]:
    def change(there: str, content: bytes) -> list[tuple[tarfile.TarInfo, bytes]]:
        extra = tarfile.TarInfo(name)
        extra.type, extra.linkname = kind, "/etc/passwd"
        return _same(there, content) + ([(extra, b"")] if there == "server_id" else [])

    return change


def _saying(**said: object) -> Callable[[str, bytes], list[tuple[tarfile.TarInfo, bytes]]]:
    def change(name: str, content: bytes) -> list[tuple[tarfile.TarInfo, bytes]]:
        if name == "manifest.json":
            content = json.dumps({**json.loads(content), **said}).encode()
        return _same(name, content)

    return change


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (_with("../../stray"), BackupBroken),
        (_with("/tmp/stray"), BackupBroken),
        (_with("keys/../../stray"), BackupBroken),
        (_with("keys/link", tarfile.SYMTYPE), BackupBroken),
        (_with("settings.toml"), BackupBroken),
        (
            lambda name, content: _same(name, b"x" + content[1:] if name == "server_id" else content),
            BackupBroken,
        ),
        (lambda name, content: [] if name.startswith("photos/") else _same(name, content), BackupBroken),
        (_saying(underboard_backup=2), BackupBroken),
        (_saying(tables={"record": 1}), BackupBroken),
        (_saying(members=[]), BackupBroken),
        (_saying(schema="9999"), StoreNewer),
    ],
)
def test_what_no_backup_holds_is_refused(
    plain_home: Settings,
    tmp_path: Path,
    change: Callable[[str, bytes], list[tuple[tarfile.TarInfo, bytes]]],
    fault: type[Exception],
) -> None:
    made = make_backup(plain_home, tmp_path / "good.tar", MOMENT)
    before = files_in(tmp_path)
    bad = _repacked(made.file, tmp_path / "bad.tar", change)
    with pytest.raises(fault):
        restore(plain_home, bad, no_key, MOMENT)
    with pytest.raises(fault):
        restore(Settings(data=tmp_path / "new"), bad, no_key, MOMENT)
    bad.unlink()
    assert files_in(tmp_path) == before and not (tmp_path / "new").exists()


def test_a_file_that_is_no_backup_is_not_replaced(plain_home: Settings, tmp_path: Path) -> None:
    letter = tmp_path / "letter.txt"
    letter.write_text("dear")
    with pytest.raises(BackupFailed, match="no backup"):
        make_backup(plain_home, letter, MOMENT)
    with pytest.raises(BackupFailed, match="no folder"):
        make_backup(plain_home, tmp_path / "unplugged" / "b.tar", MOMENT)
    assert letter.read_text() == "dear"


@contextmanager
def no_file_longer_than(size: int) -> Iterator[None]:
    """A disk that is full as far as one file can tell: what is written beyond `size` bytes fails."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


@pytest.mark.parametrize("sealed", [False, True])
def test_a_full_disk_leaves_old_data_and_old_backups_whole(
    plain_home: Settings, tmp_path: Path, sealing_key: SealingKey, sealed: bool
) -> None:
    key = sealing_key if sealed else None
    made = make_backup(plain_home, tmp_path / "kept.tar", MOMENT, key=key)
    before = files_in(tmp_path)
    for size in (0, 1_000, made.bytes // 2, made.bytes - 2_000):
        with no_file_longer_than(size), pytest.raises(BackupFailed) as fault:
            make_backup(plain_home, tmp_path / "kept.tar", MOMENT, key=key)
        assert re.search("room|full", str(fault.value))
        with no_file_longer_than(size), pytest.raises(BackupFailed):
            restore(plain_home, made.file, lambda _l, _s: sealing_key.identity, MOMENT)
        assert files_in(tmp_path) == before
