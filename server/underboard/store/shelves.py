"""Where the bytes of photos lie: one port, and the shelf that is a folder. The other one is `bucket`.

A shelf knows nothing of records or pictures. It promises that a photo is there whole or not at all, and that what
`keep` has returned from outlives a power cut.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from pathlib import Path
from typing import IO, Protocol

from underboard.config import Settings
from underboard.core.errors import UnknownBlob
from underboard.store.flushing import flush_file, flush_folder


class Shelf(Protocol):
    """Photos by plot and SHA-256."""

    def desk(self, plot_id: str, sha256: str) -> Path:
        """A folder in which a photo that is coming in may be written down until `keep` takes it."""

    def has(self, plot_id: str, sha256: str) -> bool: ...

    def keep(self, plot_id: str, sha256: str, part: Path) -> None:
        """Take a finished file in, in one step; it is gone from where it was."""

    def open(self, plot_id: str, sha256: str) -> AbstractContextManager[IO[bytes]]:
        """Open one to be read from any point.

        Raises
        ------
        UnknownBlob
        """

    def sizes(self) -> Iterator[tuple[str, str, int]]:
        """Everything that lies here, as plot, SHA-256 and bytes."""

    def probe(self, word: str) -> None:
        """Write something small that is no photo, read it back and take it away."""


def shelf_of(settings: Settings) -> Shelf:
    """Return the shelf that the settings name: a bucket, or the data folder.

    Raises
    ------
    SettingsError
        A bucket is named and cannot be used as it stands.
    """
    if settings.photo_store:
        from underboard.store.bucket import Bucket

        return Bucket(settings)
    return Folder(settings.blobs)


def place_of(plot_id: str, sha256: str) -> str:
    """Return the path of a photo below a shelf's root.

    Raises
    ------
    UnknownBlob
        Both were checked to be hexadecimal by whoever calls; this makes a slip harmless.
    """
    if not (sha256.isalnum() and len(sha256) == 64 and plot_id.replace("-", "").isalnum()):
        raise UnknownBlob(sha256)
    return f"{plot_id}/{sha256[:2]}/{sha256}"


class Folder:
    """Photos below one folder: `<folder>/<plot id>/<two digits>/<sha256>`."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def desk(self, plot_id: str, sha256: str) -> Path:
        """The same disk, or the rename at the end would be a copy."""
        desk = (self._folder / place_of(plot_id, sha256)).parent
        desk.mkdir(parents=True, exist_ok=True)
        return desk

    def has(self, plot_id: str, sha256: str) -> bool:
        return (self._folder / place_of(plot_id, sha256)).is_file()

    def keep(self, plot_id: str, sha256: str, part: Path) -> None:
        desk = self.desk(plot_id, sha256)
        flush_file(part)
        os.replace(part, desk / sha256)
        flush_folder(desk)

    @contextmanager
    def open(self, plot_id: str, sha256: str) -> Iterator[IO[bytes]]:
        try:
            stream = (self._folder / place_of(plot_id, sha256)).open("rb")
        except FileNotFoundError:
            raise UnknownBlob(sha256) from None
        with stream:
            yield stream

    def sizes(self) -> Iterator[tuple[str, str, int]]:
        for path in sorted(self._folder.glob("*/??/*")):
            if len(path.name) == 64 and path.is_file():
                yield path.parent.parent.name, path.name, path.stat().st_size

    def probe(self, word: str) -> None:
        small = self._folder / f".probe-{word}"
        small.write_text(word, "utf-8")
        assert small.read_text("utf-8") == word
        small.unlink()
