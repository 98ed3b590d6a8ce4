"""Making a backup: copy, pack, flush, read back, and only then give it its name."""

from __future__ import annotations

import errno
import gzip
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy.exc import SQLAlchemyError

from underboard import __version__
from underboard.config import Settings
from underboard.core.errors import BackupFailed, PhotosAway, UnknownBlob
from underboard.store.backup.archive import (
    DATABASE,
    KEYS,
    MANIFEST,
    PHOTOS,
    READ_ME,
    SERVER_ID,
    SETTINGS,
    WORDS,
    Manifest,
    Member,
    Seen,
    of_bytes,
    of_file,
    tar_pieces,
)
from underboard.store.backup.copying import STEP, copy_out, count_rows, faults_in, is_sqlite
from underboard.store.backup.reading import Contents, read_backup
from underboard.store.backup.rotation import to_keep
from underboard.store.backup.scratch import scratch_file, scratch_folder
from underboard.store.backup.sealing import SealingKey, is_backup, write_plain, write_sealed
from underboard.store.flushing import flush_folder
from underboard.store.shelves import Shelf, shelf_of

WORK = ".backup-"
PART = ".underboard-part-"
_STAMP, _SEALED_STAMP = "underboard-%Y%m%dT%H%M%SZ.tar", "underboard-%Y%m%dT%H%M%SZ.age.tar"
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
NOT_KEPT = {"claim_code"}
"""Files in the keys folder that are of no use later."""


@dataclass(frozen=True)
class Made:
    """A backup that was written, read back, and found whole."""

    file: Path
    bytes: int
    sealed: bool
    contents: Contents


def _unmarked(_point: str) -> None:
    """Nothing happens at a marked point, except in tests that stop the process there."""


def make_backup(
    settings: Settings,
    target: Path,
    now: datetime,
    *,
    key: SealingKey | None = None,
    note: bool = True,
    mark: Callable[[str], None] = _unmarked,
) -> Made:
    """Write a backup of a data folder, beside a running server or not.

    Parameters
    ----------
    target
        A file, or a folder, in which it gets a name with its date.
    key
        With it the backup is encrypted and holds the keys; without it neither.
    note
        Leave its moment in the data folder, for `doctor` and warnings: it is one to rely on.

    Raises
    ------
    BackupFailed
        Nothing was left behind, and an older file of that name is as it was.
    """
    file = target / name_for(now, key is not None) if target.is_dir() else target
    if file.exists() and not is_backup(file):
        raise BackupFailed(f"{file} is there and is no backup: choose another name.")
    with _in_plain_words(file):
        _note_folder(file.parent)
        with scratch_folder(settings.data, WORK) as work, scratch_file(file.parent, PART) as part:
            _write(settings, part, work, now, key, mark)
            mark("written")
            contents = _read_back(part, work, key)
            mark("checked")
            os.replace(part, file)
            flush_folder(file.parent)
    if note:
        _note(settings, now, mark)
    return Made(file, file.stat().st_size, key is not None, contents)


def name_for(now: datetime, sealed: bool) -> str:
    return now.astimezone(UTC).strftime(_SEALED_STAMP if sealed else _STAMP)


def backups_in(folder: Path) -> dict[datetime, Path]:
    """Return the backups in a folder that have a name made by `name_for`, by their moment."""
    found = {}
    for path in folder.glob("underboard-*.tar"):
        for stamp in (_STAMP, _SEALED_STAMP):
            try:
                found[datetime.strptime(path.name, stamp).replace(tzinfo=UTC)] = path
            except ValueError:
                continue
    return found


def rotate(settings: Settings, folder: Path) -> list[Path]:
    """Take away the backups in a folder that need not be kept any more; return them. Other files stay."""
    found = backups_in(folder)
    kept = to_keep(
        found,
        daily=settings.backup_daily,
        weekly=settings.backup_weekly,
        monthly=settings.backup_monthly,
    )
    gone = [path for moment, path in sorted(found.items()) if moment not in kept]
    for path in gone:
        path.unlink(missing_ok=True)
    return gone


def _write(
    settings: Settings,
    part: Path,
    work: Path,
    now: datetime,
    key: SealingKey | None,
    mark: Callable[[str], None],
) -> None:
    copy = work / "copy.sqlite3"
    copy_out(settings.database, copy)
    mark("copied")
    with closing(sqlite3.connect(copy)) as connection:
        fault = faults_in(connection)
        if fault is not None:
            raise BackupFailed(
                f"The database is damaged ({fault}), so no backup was made of it; older ones are as they were."
                " Put the newest whole one back: underboard restore."
            )
        tables, plots = count_rows(connection)
        (schema,) = connection.execute(f"SELECT version_num FROM {STEP}").fetchone()
        known = connection.execute("SELECT plot_id, sha256 FROM blob ORDER BY plot_id, sha256").fetchall()
    packed = work / DATABASE
    with copy.open("rb") as source, gzip.GzipFile(packed, "wb", compresslevel=4, mtime=0) as zipped:
        shutil.copyfileobj(source, zipped, 1024 * 1024)
    copy.unlink()
    shelf = shelf_of(settings)
    sizes = {f"{plot}/{sha}": size for plot, sha, size in shelf.sizes()}
    photos = [f"{plot}/{sha}" for plot, sha in known]
    missing = tuple(name for name in photos if name not in sizes)

    def manifest(seen: Seen) -> Member:
        kept_in = "sqlite" if is_sqlite(settings.database) else "postgresql"
        own_id = _text(settings.server_id_file).decode().strip()
        said = Manifest(now, __version__, schema, own_id, kept_in, tables, plots, missing, dict(seen))
        return of_bytes(MANIFEST, said.to_json())

    there = (_of_photo(shelf, name, sizes[name]) for name in photos if name in sizes)
    members = _members(settings, packed, there, with_keys=key is not None)
    pieces = tar_pieces(members, manifest, now)
    with part.open("r+b") as out:
        if key is None:
            write_plain(pieces, out)
        else:
            write_sealed(pieces, out, key, now)
        out.flush()
        os.fsync(out.fileno())
        _forget_cached(out.fileno())


def _members(
    settings: Settings, database: Path, photos: Iterator[Member], *, with_keys: bool
) -> Iterator[Member]:
    yield of_bytes(READ_ME, WORDS.encode())
    yield of_file(DATABASE, database)
    for name, path in ((SETTINGS, settings.settings_file), (SERVER_ID, settings.server_id_file)):
        if path.is_file():
            yield of_bytes(name, path.read_bytes())
    yield from photos
    if with_keys and settings.keys.is_dir():
        for path in sorted(settings.keys.rglob("*")):
            if path.is_file() and path.name not in NOT_KEPT:
                yield of_bytes(KEYS + path.relative_to(settings.keys).as_posix(), path.read_bytes())


def _of_photo(shelf: Shelf, name: str, size: int) -> Member:
    plot, sha256 = name.split("/")
    return Member(PHOTOS + name, size, lambda: shelf.open(plot, sha256))


def _read_back(part: Path, work: Path, key: SealingKey | None) -> Contents:
    checked = work / "read_back"
    checked.mkdir()
    return read_backup(part, lambda _locked, _shown: key.identity if key else "", checked)


def _forget_cached(handle: int) -> None:
    """Let the reading back come from the disk and not from memory, where the system can do so."""
    if hasattr(os, "posix_fadvise"):
        os.posix_fadvise(handle, 0, 0, os.POSIX_FADV_DONTNEED)


def _note(settings: Settings, now: datetime, mark: Callable[[str], None]) -> None:
    """Leave the moment for `doctor` and the warning that a backup is old."""
    with scratch_folder(settings.data, WORK) as work:
        part = work / settings.backup_note.name
        part.write_text(f"{now.astimezone(UTC).isoformat()}\n", encoding="utf-8")
        mark("noting")
        part.replace(settings.backup_note)


def _note_folder(folder: Path) -> None:
    if not folder.is_dir():
        raise BackupFailed(f"There is no folder {folder}: make it, or plug in the disk it is on.")


def _text(path: Path) -> bytes:
    return path.read_bytes() if path.is_file() else b""


@contextmanager
def _in_plain_words(file: Path) -> Iterator[None]:
    rest = "No backup was made; older ones are as they were."
    try:
        yield
    except OSError as fault:
        if fault.errno in _FULL:
            raise BackupFailed(f"There is no room left to write {file}. {rest}") from fault
        why = fault.strerror or str(fault)
        raise BackupFailed(f"{fault.filename or file}: {why}. {rest}") from fault
    except PhotosAway as fault:
        raise BackupFailed(f"The photo storage could not be read ({fault.why}). {rest}") from fault
    except UnknownBlob as fault:
        raise BackupFailed(f"A photo went away while it was read: try again. {rest}") from fault
    except (sqlite3.Error, SQLAlchemyError) as fault:
        why = str(getattr(fault, "orig", None) or fault).splitlines()[0]
        if "full" in why or "I/O" in why:
            raise BackupFailed(
                f"The database could not be copied ({why}): is a disk full or failing? {rest}"
            ) from fault
        raise BackupFailed(f"The database could not be read ({why}). {rest}") from fault
