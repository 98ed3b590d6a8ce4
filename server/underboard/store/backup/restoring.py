"""The way home: a backup is read, checked and made ready beside the old data, and takes its place at one moment."""

from __future__ import annotations

import errno
import json
import os
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Connection, create_engine, insert, select, text
from sqlalchemy.exc import SQLAlchemyError

from underboard.config import Settings
from underboard.core.errors import BackupFailed, FolderInUse, PhotosAway
from underboard.store.backup.archive import KEYS, SETTINGS, Manifest
from underboard.store.backup.brought import OTHER_SETTINGS, settle_settings
from underboard.store.backup.copying import copy_in, is_sqlite, opened_file
from underboard.store.backup.doors import Carried, Doors, carry_doors, photos_to_carry, read_doors
from underboard.store.backup.making import make_backup
from underboard.store.backup.reading import DATABASE_FILE, Contents, read_backup
from underboard.store.backup.scratch import scratch_folder, sweep
from underboard.store.backup.sealing import Open
from underboard.store.backup.swapping import Move, finish_swap, swap
from underboard.store.database import driver_url, settle
from underboard.store.flushing import flush_file, flush_tree
from underboard.store.folder_use import in_use
from underboard.store.migrating import check_known, migrate_to_head, revision_of
from underboard.store.restore import begin_new_epoch
from underboard.store.shelves import shelf_of
from underboard.store.tables import AuditRow, SyncClock

WORK, STAGED = ".restore-", "restore-staged-"
ASIDE = "before-restore-%Y%m%dT%H%M%SZ"


@dataclass(frozen=True)
class Restored:
    """What was put back, and where what was there before lies now."""

    manifest: Manifest
    aside: Path | None
    carried: Carried
    photos_carried: int
    photos_lacking: int
    settings_beside: bool


def _unmarked(_point: str) -> None:
    """Nothing happens at a marked point, except in tests that stop the process there."""


def restore(
    settings: Settings,
    file: Path,
    open_key: Open,
    now: datetime,
    *,
    mark: Callable[[str], None] = _unmarked,
) -> Restored:
    """Put a backup into a data folder, in use by nobody or not there yet.

    Every plot gets a new epoch, so that phones bring what the backup lacks. What was there is kept aside.

    Raises
    ------
    FolderInUse, BackupBroken, BackupFailed, PassphraseWrong, PassphraseNeeded, StoreNewer
        Nothing was changed.
    """
    if not file.is_file():
        raise BackupFailed(f"There is no backup {file}.")
    new_folder = not settings.data.exists()
    settings.data.mkdir(parents=True, exist_ok=True)
    try:
        with in_use(settings.use_lock, alone=True), _in_plain_words(settings.data):
            finish_swap(settings.data)
            sweep(settings.data, STAGED)
            with scratch_folder(settings.data, WORK) as work:
                return _put_in(settings, file, open_key, now, work, mark)
    except BaseException:
        if new_folder:
            settings.use_lock.unlink(missing_ok=True)
            with suppress(OSError):  # not empty: it is somebody's by now
                settings.data.rmdir()
        raise


def _put_in(
    settings: Settings, file: Path, open_key: Open, now: datetime, work: Path, mark: Callable[[str], None]
) -> Restored:
    contents = read_backup(file, open_key, work, unpack=True)
    mark("checked")
    check_known(contents.manifest.schema)
    aside = _free_name(settings.data, now)
    carried, photos = _get_ready(settings, contents, work, now)
    beside = settle_settings(settings, work)
    sqlite = is_sqlite(settings.database)
    kept: Path | None = None
    if not sqlite:
        kept = _replace_postgres(settings, contents, work, now, aside, mark)
    elif settings.photo_store:
        _add_photos(settings, work)
    try:
        _swap_files(settings, work, aside, mark)
    except OSError as fault:
        if sqlite:
            raise
        raise BackupFailed(
            f"The backup is in the database, but its files are not in {settings.data}"
            f" ({fault.strerror or fault}): mend that, and run the same restore again."
        ) from fault
    lacking = len(contents.manifest.photos_missing) + len(contents.photos_damaged)
    return Restored(
        contents.manifest, kept or (aside if aside.exists() else None), carried, photos, lacking, beside
    )


def _swap_files(settings: Settings, work: Path, aside: Path, mark: Callable[[str], None]) -> None:
    flush_tree(work)
    # From here on the folder must outlive this process: whoever comes next finishes what the journal says.
    staged = settings.data / f"{STAGED}{aside.name.removeprefix('before-restore-')}"
    os.replace(work, staged)
    swap(settings.data, list(_moves(settings, staged, aside, sqlite=is_sqlite(settings.database))), mark)
    shutil.rmtree(staged, ignore_errors=True)


def _get_ready(settings: Settings, contents: Contents, work: Path, now: datetime) -> tuple[Carried, int]:
    """Bring the unpacked database to this version, to a new epoch, and to what must not be undone."""
    url = f"sqlite:///{contents.database}"
    migrate_to_head(url)
    with opened_file(contents.database) as new:
        carried = carry_doors(_doors_of(settings), new)
        unpacked = work / "blobs"
        unpacked.mkdir(exist_ok=True)
        photos = photos_to_carry(shelf_of(settings), unpacked, new, now)
        if _moves_photos(settings):
            for place in photos:
                (unpacked / place).parent.mkdir(parents=True, exist_ok=True)
                _link(settings.blobs / place, unpacked / place)
        marks = {}
        for plot_id, seq in new.execute(select(SyncClock.plot_id, SyncClock.seq)).all():
            epoch = begin_new_epoch(new, plot_id)
            marks[plot_id] = {"epoch": epoch, "seq": seq}
            detail = f"backup of {contents.manifest.made_at.isoformat()}"
            audit = {"at": now.astimezone(UTC), "plot_id": plot_id, "what": "restore", "who": "server"}
            new.execute(insert(AuditRow), [{**audit, "detail": detail}])
    settle(url)
    (work / settings.high_water.name).write_text(json.dumps(marks), encoding="utf-8")
    (work / settings.backup_note.name).write_text(
        f"{contents.manifest.made_at.isoformat()}\n", encoding="utf-8"
    )
    return carried, len(photos)


def _doors_of(settings: Settings) -> Doors:
    """Read who may come in from what lies there now, as far as it can be read at all."""
    if is_sqlite(settings.database) and not (settings.sqlite_file and settings.sqlite_file.is_file()):
        return Doors()
    engine = create_engine(driver_url(settings.database))
    try:
        with engine.connect() as old:
            return read_doors(old)
    except (SQLAlchemyError, sqlite3.Error, KeyError):
        return Doors()  # damaged: that may be why it is replaced
    finally:
        engine.dispose()


def _replace_postgres(
    settings: Settings,
    contents: Contents,
    work: Path,
    now: datetime,
    aside: Path,
    mark: Callable[[str], None],
) -> Path | None:
    """Put the rows into PostgreSQL in one transaction; what was there is first backed up beside the data."""
    kept = None
    engine = create_engine(driver_url(settings.database))
    try:
        with engine.connect() as connection:
            _check_alone(connection)
            holds = revision_of(connection) is not None
            holds = holds and bool(connection.scalar(text("SELECT count(*) FROM sync_clock")))
    finally:
        engine.dispose()
    if holds:
        kept = make_backup(settings, aside.with_suffix(".tar"), now, note=False).file
    _add_photos(settings, work)
    mark("staged")
    copy_in(contents.database, settings.database)
    mark("moved")
    return kept


def _moves_photos(settings: Settings) -> bool:
    """Whether the folder of photos changes places with the database. If not, photos are only ever added."""
    return is_sqlite(settings.database) and not settings.photo_store


def _add_photos(settings: Settings, work: Path) -> None:
    """Put the backup's photos where they are missing: named by their hash, they can't be in anybody's way."""
    shelf = shelf_of(settings)
    there = {(plot, sha256) for plot, sha256, _ in shelf.sizes()}
    for path in sorted((work / "blobs").glob("*/??/*")):
        name = (path.parent.parent.name, path.name)
        if name not in there:
            shelf.keep(*name, path)


def _check_alone(connection: Connection) -> None:
    others = connection.scalar(
        text(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database()"
            " AND application_name = 'underboard' AND pid <> pg_backend_pid()"
        )
    )
    if others:
        raise FolderInUse("A server runs on this database: stop it, then restore. Nothing was changed.")


def _moves(settings: Settings, staged: Path, aside: Path, *, sqlite: bool) -> Iterator[Move]:
    """Say what takes whose place. Keys and settings of this folder stay; the backup's fill what is not there."""
    data = settings.data
    if sqlite:
        place = settings.sqlite_file or data / DATABASE_FILE
        home, away, new = place.parent, aside, staged / DATABASE_FILE
        if home != data:  # another disk, maybe: everything that moves must be on it
            new = home / f"{staged.name}-{place.name}"
            away = home / aside.name
            shutil.copyfile(staged / DATABASE_FILE, new)
            flush_file(new)
        for log in ("-wal", "-shm"):
            yield Move(home / (place.name + log), away / (place.name + log))
        yield Move(place, away / place.name, new)
    if _moves_photos(settings):
        yield Move(settings.blobs, aside / "blobs", staged / "blobs")
    for place in (settings.high_water, settings.server_id_file):
        if (staged / place.name).is_file() and not _same(staged / place.name, place):
            yield Move(place, aside / place.name, staged / place.name)
    for name in (SETTINGS, OTHER_SETTINGS):
        if (staged / name).is_file():
            yield Move(data / name, aside / name, staged / name)
    if not settings.backup_note.exists():
        yield Move(settings.backup_note, aside / "last_backup", staged / settings.backup_note.name)
    if (staged / KEYS).is_dir():
        settings.keys.mkdir(mode=0o700, exist_ok=True)
    for key in sorted((staged / KEYS).rglob("*")):
        place = settings.keys / key.relative_to(staged / KEYS)
        if key.is_file() and not place.exists():
            yield Move(place, aside / KEYS / place.name, key)


def _same(one: Path, other: Path) -> bool:
    return other.is_file() and one.read_bytes() == other.read_bytes()


def _free_name(folder: Path, now: datetime) -> Path:
    first = folder / now.astimezone(UTC).strftime(ASIDE)
    name, number = first, 1
    while name.exists() or name.with_suffix(".tar").exists():
        number += 1
        name = first.with_name(f"{first.name}-{number}")
    return name


def _link(source: Path, target: Path) -> None:
    try:
        os.link(source, target)
    except OSError:  # a disk without links
        shutil.copyfile(source, target)


@contextmanager
def _in_plain_words(folder: Path) -> Iterator[None]:
    try:
        yield
    except OSError as fault:
        full = fault.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
        why = "there is no room left" if full else fault.strerror or str(fault)
        raise BackupFailed(
            f"The backup could not be put into {folder} ({why}). What was there is as it was."
        ) from fault
    except PhotosAway as fault:
        raise BackupFailed(
            f"The photo storage can't be used ({fault.why}). What was there is as it was."
        ) from fault
    except (SQLAlchemyError, sqlite3.Error) as fault:
        why = str(getattr(fault, "orig", None) or fault).splitlines()[0]
        raise BackupFailed(
            f"The backup could not be put into the database ({why}). What was there is as it was."
        ) from fault
