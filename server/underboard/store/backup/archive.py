"""The form of a backup file: its members, its manifest, and the pieces of a tar that hold them.

The tar is made piece by piece by whoever reads it, so that the same pieces can go into a file or through
encryption; nothing but a piece is ever in memory.
"""

from __future__ import annotations

import hashlib
import io
import json
import re
import tarfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any, BinaryIO, Protocol

from underboard.core.errors import BackupBroken, BackupFailed

FORM = 1
READ_ME, DATABASE, MANIFEST = "READ_ME.txt", "underboard.sqlite3.gz", "manifest.json"
SETTINGS, SERVER_ID, PHOTOS, KEYS = "settings.toml", "server_id", "photos/", "keys/"
SEALED_KEY, SEALED = "key.age", "content.age"
PIECE = 256 * 1024
BIGGEST_MANIFEST = 256 * 1024 * 1024
_BLOCK = 512
_UUID = r"[0-9a-fA-F-]{36}"
_KEY_PART = r"[A-Za-z0-9_][A-Za-z0-9._-]{0,99}"
_NAMES = re.compile(
    rf"{READ_ME}|{re.escape(DATABASE)}|{re.escape(MANIFEST)}|{re.escape(SETTINGS)}|{SERVER_ID}"
    rf"|{PHOTOS}{_UUID}/[0-9a-f]{{64}}|{KEYS}(?:{_KEY_PART}/){{0,2}}{_KEY_PART}"
)
WORDS = """Underboard backup, form 1

Put it back with: underboard restore --data FOLDER THIS_FILE

Without Underboard: this is a tar. In it are the database (SQLite, gzipped), photos named by plot and SHA-256,
settings, and manifest.json with the SHA-256 of every member. If it holds content.age instead, it is encrypted
by the age format (age-encryption.org/v1): tar xf THIS_FILE; age -d -i key.age content.age | tar x
"""


@dataclass(frozen=True)
class Member:
    """One file of a backup, opened when its turn comes."""

    name: str
    size: int
    open: Callable[[], AbstractContextManager[IO[bytes]]]


def of_bytes(name: str, content: bytes) -> Member:
    return Member(name, len(content), lambda: io.BytesIO(content))


def of_file(name: str, path: Path) -> Member:
    return Member(name, path.stat().st_size, lambda: path.open("rb"))


class Seen(dict[str, dict[str, Any]]):
    """Size and SHA-256 of every member that went by, by name."""

    def note(self, name: str, size: int, sha256: str) -> None:
        self[name] = {"bytes": size, "sha256": sha256}


def tar_pieces(members: Iterable[Member], last: Callable[[Seen], Member], at: datetime) -> Iterator[bytes]:
    """Give a whole tar, in pieces; the last member is made when all others have gone by.

    Raises
    ------
    BackupFailed
        A file became shorter or longer while it was read.
    """
    seen = Seen()
    for member in members:
        yield from _one(member, seen, at)
    yield from _one(last(seen), seen, at)
    yield bytes(2 * _BLOCK)


def header(name: str, size: int, at: datetime) -> bytes:
    """Return the block (or blocks, for a long name) that stands before a member."""
    info = tarfile.TarInfo(name)
    info.size, info.mode, info.mtime = size, 0o600, int(at.timestamp())
    return info.tobuf(tarfile.GNU_FORMAT, "utf-8", "strict")


def padding(size: int) -> bytes:
    return bytes(-size % _BLOCK)


def _one(member: Member, seen: Seen, at: datetime) -> Iterator[bytes]:
    yield header(member.name, member.size, at)
    size, digest = 0, hashlib.sha256()
    with member.open() as source:
        while piece := source.read(PIECE):
            size += len(piece)
            digest.update(piece)
            yield piece
    if size != member.size:
        raise BackupFailed(f"{member.name} changed while it was read. Try again.")
    seen.note(member.name, size, digest.hexdigest())
    yield padding(size)


class Source(Protocol):
    """A member that is being read: bytes in pieces, from the front."""

    def read(self, size: int, /) -> bytes: ...


def members_of(stream: BinaryIO, shown: str) -> Iterator[tuple[str, Source]]:
    """Give the members of a tar as it is read from front to end.

    Parameters
    ----------
    shown
        The file's name, for complaints.

    Raises
    ------
    BackupBroken
        It is no tar, it ends too early, or holds what no backup holds.
    """
    try:
        with tarfile.open(fileobj=stream, mode="r|", format=tarfile.GNU_FORMAT) as tar:
            for info in tar:
                if not info.isreg() or not _NAMES.fullmatch(info.name):
                    raise BackupBroken(shown, f"{info.name[:80]!r} does not belong into one.")
                source = tar.extractfile(info)
                if source is None:
                    raise BackupBroken(shown, f"{info.name} cannot be read.")
                yield info.name, _Guarded(source, shown)
    except (tarfile.TarError, EOFError) as fault:
        raise BackupBroken(shown, f"it ends too early or is something else ({fault}).") from fault


class _Guarded:
    """A member whose reading fails in our words."""

    def __init__(self, source: Any, shown: str) -> None:
        self._source, self._shown = source, shown

    def read(self, size: int, /) -> bytes:
        try:
            return bytes(self._source.read(size))
        except (tarfile.TarError, EOFError) as fault:
            raise BackupBroken(self._shown, "it ends too early.") from fault


@dataclass(frozen=True)
class Manifest:
    """What a backup says of itself."""

    made_at: datetime
    version: str
    schema: str
    server_id: str
    kept_in: str
    """sqlite or postgresql: where the database lived."""
    tables: dict[str, int]
    plots: dict[str, dict[str, int]]
    photos_missing: tuple[str, ...]
    """Photos, as `plot/sha256`, that the database knows and the disk did not have."""
    members: dict[str, dict[str, Any]]

    @property
    def records(self) -> int:
        return sum(plot.get("living records", 0) for plot in self.plots.values())

    @property
    def photos(self) -> int:
        return sum(name.startswith(PHOTOS) for name in self.members)

    @property
    def has_keys(self) -> bool:
        return any(name.startswith(KEYS) for name in self.members)

    def to_json(self) -> bytes:
        said = {"underboard_backup": FORM, **self.__dict__, "made_at": self.made_at.isoformat()}
        return json.dumps(said, ensure_ascii=False, indent=1).encode()


def read_manifest(text: bytes, shown: str) -> Manifest:
    """Read a manifest.

    Raises
    ------
    BackupBroken
    """
    try:
        said = json.loads(text)
        if said["underboard_backup"] != FORM:
            raise BackupBroken(shown, "a newer Underboard made it: install that version.")
        return Manifest(
            made_at=datetime.fromisoformat(said["made_at"]).astimezone(UTC),
            version=str(said["version"]),
            schema=str(said["schema"]),
            server_id=str(said["server_id"]),
            kept_in=str(said["kept_in"]),
            tables=dict(said["tables"]),
            plots=dict(said["plots"]),
            photos_missing=tuple(said["photos_missing"]),
            members=dict(said["members"]),
        )
    except (ValueError, KeyError, TypeError, AttributeError) as fault:
        raise BackupBroken(shown, "its list of contents cannot be read.") from fault
