"""Reading a backup back, all of it: every hash, every count, the whole database. Also how it is unpacked."""

from __future__ import annotations

import hashlib
import sqlite3
import zlib
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from underboard.core.errors import BackupBroken
from underboard.store.backup.archive import (
    BIGGEST_MANIFEST,
    DATABASE,
    MANIFEST,
    PHOTOS,
    PIECE,
    Manifest,
    Seen,
    Source,
    members_of,
    read_manifest,
)
from underboard.store.backup.copying import count_rows, faults_in
from underboard.store.backup.sealing import Open, opened_backup

DATABASE_FILE = "underboard.sqlite3"


@dataclass(frozen=True)
class Contents:
    """A backup that was read to its end and found whole.

    Attributes
    ----------
    database
        Its database, unpacked.
    photos_damaged
        Photos, as `plot/sha256`, whose bytes were no longer the ones they are named by when it was made.
    """

    manifest: Manifest
    database: Path
    photos_damaged: tuple[str, ...]


def read_backup(path: Path, open_key: Open, into: Path, *, unpack: bool = False) -> Contents:
    """Read a backup and check it against what it says of itself.

    Parameters
    ----------
    into
        An empty folder of ours. The database is unpacked there, and with `unpack` everything else too: photos below
        `blobs/` as the server keeps them, the rest under its own name.

    Raises
    ------
    BackupBroken, PassphraseWrong, PassphraseNeeded
    """
    seen, manifest, damaged = Seen(), None, []
    with opened_backup(path, open_key) as stream:
        for name, source in members_of(stream, path.name):
            if manifest is not None or name in seen:
                raise BackupBroken(path.name, f"{name} stands in the wrong place.")
            if name == MANIFEST:
                manifest = read_manifest(_all_of(source, path.name), path.name)
                continue
            digest = _take(name, source, into, unpack, seen, path.name)
            if name.startswith(PHOTOS) and not name.endswith(digest):
                damaged.append(name.removeprefix(PHOTOS))
    if manifest is None:
        raise BackupBroken(path.name, "it ends too early.")
    if seen != manifest.members:
        wrong = sorted(set(seen) ^ set(manifest.members)) or [
            n for n in seen if seen[n] != manifest.members[n]
        ]
        raise BackupBroken(path.name, f"{wrong[0]} is not what it was when the backup was made.")
    database = into / DATABASE_FILE
    _check_database(database, manifest, path.name)
    return Contents(manifest, database, tuple(damaged))


def _take(name: str, source: Source, into: Path, unpack: bool, seen: Seen, shown: str) -> str:
    """Read one member to its end, note its hash, and put it where it goes."""
    if name == DATABASE:
        with (into / DATABASE_FILE).open("wb") as out:
            unzip = _Unzip(out, shown)
            digest = _hash(name, source, seen, unzip.write)
            unzip.end()
        return digest
    if not unpack:
        return _hash(name, source, seen, None)
    target = into / _place(name)
    target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    with target.open("wb") as out:
        target.chmod(0o600)
        digest = _hash(name, source, seen, out.write)
    if name.startswith(PHOTOS) and not name.endswith(digest):
        target.unlink()  # phones that hold it whole send it again
    return digest


def _place(name: str) -> str:
    if not name.startswith(PHOTOS):
        return name
    _, plot, sha256 = name.split("/")
    return f"blobs/{plot}/{sha256[:2]}/{sha256}"


def _hash(name: str, source: Source, seen: Seen, write: Callable[[bytes], object] | None) -> str:
    size, digest = 0, hashlib.sha256()
    while piece := source.read(PIECE):
        size += len(piece)
        digest.update(piece)
        if write is not None:
            write(piece)
    seen.note(name, size, digest.hexdigest())
    return digest.hexdigest()


def _all_of(source: Source, shown: str) -> bytes:
    text = b""
    while piece := source.read(PIECE):
        text += piece
        if len(text) > BIGGEST_MANIFEST:
            raise BackupBroken(shown, "its list of contents is too long.")
    return text


class _Unzip:
    """Writes what was gzipped; a cut or changed stream is noticed at the latest at its end."""

    def __init__(self, out: IO[bytes], shown: str) -> None:
        self._out, self._shown = out, shown
        self._unzip = zlib.decompressobj(wbits=31)

    def write(self, piece: bytes) -> None:
        try:
            self._out.write(self._unzip.decompress(piece))
        except zlib.error as fault:
            raise BackupBroken(self._shown, "its database was changed after it was made.") from fault

    def end(self) -> None:
        if not self._unzip.eof:
            raise BackupBroken(self._shown, "its database is cut off.")


def _check_database(file: Path, manifest: Manifest, shown: str) -> None:
    if not file.is_file():
        raise BackupBroken(shown, "it holds no database.")
    try:
        with closing(sqlite3.connect(file)) as connection:
            fault = faults_in(connection)
            counted = count_rows(connection) if fault is None else None
    except sqlite3.DatabaseError as trouble:
        raise BackupBroken(shown, f"its database is damaged ({trouble}).") from trouble
    if fault is not None:
        raise BackupBroken(shown, f"its database is damaged ({fault}).")
    if counted != (manifest.tables, manifest.plots):
        raise BackupBroken(shown, "its database does not hold what the backup says.")
