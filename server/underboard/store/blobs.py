"""Photos, named by the SHA-256 of their bytes, each decoded in full before a shelf (`shelves`) keeps it."""

from __future__ import annotations

import hashlib
import io
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO, Protocol

from sqlalchemy import func, select

from underboard.core.errors import PhotoMismatch, PhotoTellsPlace, PhotoTooLarge, PhotoUnreadable, UnknownBlob
from underboard.store.database import db, reading, writing
from underboard.store.shelves import Shelf
from underboard.store.tables import BlobNameRow, BlobRow

MAX_BYTES = 12 * 1024 * 1024
MAX_POINTS = 24_000_000
QUOTA_BYTES = 20 * 1024**3
"""What one device may store; far above years of photos, far below a disk."""
FORMATS = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
SMALL_POINTS = 320
_GPS_IFD = 0x8825
_PIECE = 64 * 1024


@dataclass(frozen=True, slots=True)
class BlobInfo:
    """A photo that is kept. `new` says that it was not there before."""

    sha256: str
    bytes: int
    mime: str
    width: int
    height: int
    new: bool


class Readable(Protocol):
    """Anything that gives out bytes in pieces."""

    def read(self, size: int, /) -> bytes: ...


class BlobStore:
    """The photos of all plots: what is known of them in the database, their bytes on a shelf."""

    def __init__(self, shelf: Shelf, quota: int = QUOTA_BYTES) -> None:
        self._shelf = shelf
        self._quota = quota

    def info(self, plot_id: str, sha256: str) -> BlobInfo | None:
        """Return what is known of a photo of the plot, or None."""
        found = self._noted(plot_id, sha256)
        return found if found is not None and self._shelf.has(plot_id, sha256) else None

    def has(self, plot_id: str, sha256: str) -> bool:
        return self.info(plot_id, sha256) is not None

    def write_stream(
        self, plot_id: str, sha256: str, stream: Readable, device_id: str, now: datetime, cap: int = MAX_BYTES
    ) -> BlobInfo:
        """Take a photo in: count, hash, decode, flush to the disk, and only then give it its name.

        Raises
        ------
        PhotoTooLarge, PhotoMismatch, PhotoUnreadable, PhotoTellsPlace
            Nothing of it is kept.
        """
        there = self.info(plot_id, sha256)
        if there is not None:
            return there
        desk = self._shelf.desk(plot_id, sha256)
        self._check_quota(device_id)
        with tempfile.NamedTemporaryFile(dir=desk, prefix=".coming-", delete=False) as coming:
            part = Path(coming.name)
            try:
                size = _copy(stream, coming.file, sha256, cap)
                mime, width, height = examine(part)
                self._shelf.keep(plot_id, sha256, part)
            except BaseException:
                part.unlink(missing_ok=True)
                raise
        self._note(plot_id, sha256, size, mime, (width, height), device_id, now)
        return BlobInfo(sha256, size, mime, width, height, True)

    @contextmanager
    def open(self, plot_id: str, sha256: str) -> Iterator[tuple[BlobInfo, IO[bytes]]]:
        """Open a photo that some record of the plot names.

        Raises
        ------
        UnknownBlob
        """
        found = self._noted(plot_id, sha256)
        if found is None or not self._is_named(plot_id, sha256):
            raise UnknownBlob(sha256)
        with self._shelf.open(plot_id, sha256) as stream:
            yield found, stream

    def _noted(self, plot_id: str, sha256: str) -> BlobInfo | None:
        statement = select(BlobRow).where(BlobRow.plot_id == plot_id, BlobRow.sha256 == sha256)
        with reading() as connection:
            row = connection.execute(statement).one_or_none()
        return (
            None if row is None else BlobInfo(row.sha256, row.bytes, row.mime, row.width, row.height, False)
        )

    def _is_named(self, plot_id: str, sha256: str) -> bool:
        statement = select(BlobNameRow.record_id).where(
            BlobNameRow.plot_id == plot_id, BlobNameRow.sha256 == sha256
        )
        with reading() as connection:
            return connection.execute(statement.limit(1)).one_or_none() is not None

    def _check_quota(self, device_id: str) -> None:
        with reading() as connection:
            used = connection.scalar(select(func.sum(BlobRow.bytes)).where(BlobRow.device_id == device_id))
        if (used or 0) >= self._quota:
            raise PhotoTooLarge(f"{self._quota // (1024 * 1024)} MiB of photos from one device")

    def _note(
        self,
        plot_id: str,
        sha256: str,
        size: int,
        mime: str,
        points: tuple[int, int],
        device_id: str,
        now: datetime,
    ) -> None:
        if db.engine.dialect.name == "sqlite":
            from sqlalchemy.dialects.sqlite import insert
        else:
            from sqlalchemy.dialects.postgresql import insert  # type: ignore[assignment]
        row = {
            "plot_id": plot_id,
            "sha256": sha256,
            "bytes": size,
            "mime": mime,
            "width": points[0],
            "height": points[1],
            "device_id": device_id,
            "created_at": now,
        }
        with writing() as connection:
            connection.execute(insert(BlobRow).on_conflict_do_nothing(), [row])


def _copy(stream: Readable, out: IO[bytes], sha256: str, cap: int) -> int:
    size, seen = 0, hashlib.sha256()
    while piece := stream.read(_PIECE):
        size += len(piece)
        if size > cap:
            raise PhotoTooLarge(f"{cap // (1024 * 1024)} MiB")
        seen.update(piece)
        out.write(piece)
    if seen.hexdigest() != sha256:
        raise PhotoMismatch
    out.flush()
    return size


def examine(picture_in: Path | IO[bytes]) -> tuple[str, int, int]:
    """Decode a picture in full; return its media type, width and height in points.

    Raises
    ------
    PhotoUnreadable, PhotoTooLarge, PhotoTellsPlace
    """
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(picture_in, formats=tuple(FORMATS)) as picture:
            width, height = picture.size
            if width * height > MAX_POINTS:
                raise PhotoTooLarge("24 million points")
            if picture.getexif().get_ifd(_GPS_IFD):
                raise PhotoTellsPlace
            # All data of a JPEG is read and checked, and only an eighth of the points drawn from it: half the time
            # and a few hundred kilobytes, where 24 million points would be 72 MB.
            picture.draft(picture.mode, (1, 1))
            picture.load()
            return FORMATS[picture.format or ""], width, height
    # Pillow refuses a picture bomb, or only warns of it (an error where warnings are errors); ours is lower.
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise PhotoTooLarge("24 million points") from None
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, KeyError, EOFError):
        raise PhotoUnreadable from None


def small_picture(stream: IO[bytes], longest: int = SMALL_POINTS) -> bytes:
    """Draw a kept photo anew at no more than `longest` points a side: upright JPEG with nothing else in it."""
    from PIL import Image, ImageOps

    with Image.open(stream, formats=tuple(FORMATS)) as whole:
        whole.draft("RGB", (longest, longest))
        small = ImageOps.exif_transpose(whole).convert("RGB")
    small.thumbnail((longest, longest))
    out = io.BytesIO()
    small.info.clear()
    small.save(out, "JPEG", quality=70)
    return out.getvalue()
