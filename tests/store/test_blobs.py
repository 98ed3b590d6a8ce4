"""Photos: taken in whole or not at all, and read by the plot whose records name them; on both kinds of shelf."""

from __future__ import annotations

import hashlib
import io
import struct
import tempfile
import zlib
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from flask import current_app
from PIL import Image

from tests.store.sender import COUNT, NOW, Sender, new_plot, put
from underboard.core.errors import PhotoMismatch, PhotoTellsPlace, PhotoTooLarge, PhotoUnreadable, UnknownBlob
from underboard.store.blobs import BlobStore, examine, small_picture
from underboard.store.shelves import Folder, Shelf, shelf_of

KINDS = [("sqlite", "folder"), ("postgresql", "folder"), ("sqlite", "bucket")]
pytestmark = [
    pytest.mark.usefixtures("database_app", "shelf"),
    pytest.mark.parametrize(("database_url", "shelf"), KINDS, indirect=True),
]


def picture(form: str = "JPEG", size: tuple[int, int] = (64, 48), **more: object) -> bytes:
    made = io.BytesIO()
    Image.new("RGB", size, (40, 90, 30)).save(made, form, **more)
    return made.getvalue()


def large_picture(width: int, height: int) -> bytes:
    """A bit a pixel: made by every process that collects this file, in hundredths of what colours take."""
    made = io.BytesIO()
    Image.new("1", (width, height)).save(made, "PNG")
    return made.getvalue()


def sha(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


@pytest.fixture
def shelf(request: pytest.FixtureRequest, tmp_path: Path) -> Shelf:
    if request.param == "folder":
        return Folder(tmp_path / "home" / "blobs")
    return shelf_of(request.getfixturevalue("bucket_settings"))


@pytest.fixture
def store(shelf: Shelf) -> BlobStore:
    return BlobStore(shelf)


def send(store: BlobStore, phone: Sender, content: bytes, name: str | None = None) -> object:
    return store.write_stream(
        phone.plot_id, sha(content) if name is None else name, io.BytesIO(content), phone.device_id, NOW
    )


def lying(shelf: Shelf, tmp_path: Path) -> list[str]:
    """Hashes of all photos on the shelf; whatever else lies in the data folder would be a leftover."""
    kept = [sha256 for _, sha256, _ in shelf.sizes()]
    files = [path.name for path in (tmp_path / "home").rglob("*") if path.is_file()]
    assert not isinstance(shelf, Folder) or files == kept
    assert isinstance(shelf, Folder) or files == []
    return kept


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_photo_is_kept_once_and_read_when_a_record_names_it(
    store: BlobStore, shelf: Shelf, tmp_path: Path, form: str
) -> None:
    (phone,) = new_plot("A")
    content = picture(form)
    info = store.write_stream(phone.plot_id, sha(content), io.BytesIO(content), phone.device_id, NOW)
    assert (info.mime, info.width, info.height, info.bytes, info.new) == (
        f"image/{form.lower()}", 64, 48, len(content), True,
    )  # fmt: skip
    assert not store.write_stream(phone.plot_id, sha(content), io.BytesIO(b""), phone.device_id, NOW).new
    assert lying(shelf, tmp_path) == [sha(content)]
    with pytest.raises(UnknownBlob), store.open(phone.plot_id, sha(content)):
        pass
    phone.push(put({**COUNT, "photos": [{"sha256": sha(content), "bytes": len(content)}]}))
    with store.open(phone.plot_id, sha(content)) as (_, stream):
        assert stream.read() == content


def test_a_photo_record_names_its_photo_too(store: BlobStore) -> None:
    (phone,) = new_plot("A")
    content = picture()
    phone.push(put({"sha256": sha(content), "caption": "slime"}, type="photo"))
    send(store, phone, content)
    with store.open(phone.plot_id, sha(content)) as (info, _):
        assert info.sha256 == sha(content)


def test_another_plot_does_not_learn_of_it(store: BlobStore) -> None:
    (mine,), (theirs,) = new_plot("A"), new_plot("B")
    content = picture()
    send(store, mine, content)
    theirs.push(put({**COUNT, "photos": [{"sha256": sha(content)}]}))
    assert store.has(mine.plot_id, sha(content)) and not store.has(theirs.plot_id, sha(content))
    with pytest.raises(UnknownBlob), store.open(theirs.plot_id, sha(content)):
        pass


def gps() -> bytes:
    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"  # EXIF 2.3, GPSLatitudeRef
    exif.get_ifd(0x8825)[2] = (50.0, 7.0, 30.0)
    return picture(exif=exif)


@pytest.mark.parametrize(
    ("content", "fault"),
    [
        (b"<html><script>alert(1)</script>", PhotoUnreadable),
        (b"", PhotoUnreadable),
        (picture()[:-200], PhotoUnreadable),
        (picture("GIF"), PhotoUnreadable),
        (large_picture(6001, 4000), PhotoTooLarge),
        (b"\xff\xd8\xff" + b"\0" * 200, PhotoUnreadable),
        (gps(), PhotoTellsPlace),
    ],
    ids=["html", "empty", "cut off", "gif", "24 million points", "no jpeg", "location"],
)
def test_what_is_no_whole_picture_leaves_nothing(
    store: BlobStore, shelf: Shelf, tmp_path: Path, content: bytes, fault: type[Exception]
) -> None:
    (phone,) = new_plot("A")
    with pytest.raises(fault):
        send(store, phone, content)
    assert lying(shelf, tmp_path) == [] and not store.has(phone.plot_id, sha(content))


def test_a_picture_bomb_is_told_by_its_header() -> None:
    """900 million points in a few kilobytes: a PNG header that promises 30,000 by 30,000."""
    bomb = b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))
        for name, content in (
            (b"IHDR", struct.pack(">IIBBBBB", 30_000, 30_000, 8, 2, 0, 0, 0)),
            (b"IDAT", zlib.compress(b"\0" * 100)),
            (b"IEND", b""),
        )
    )
    with tempfile.NamedTemporaryFile() as file:
        file.write(bomb)
        file.flush()
        with pytest.raises(PhotoTooLarge):
            examine(Path(file.name))


def test_bytes_that_are_not_the_promised_ones(store: BlobStore, shelf: Shelf, tmp_path: Path) -> None:
    (phone,) = new_plot("A")
    with pytest.raises(PhotoMismatch):
        send(store, phone, picture(), sha(b"other"))
    assert lying(shelf, tmp_path) == []


def test_more_bytes_than_are_taken(store: BlobStore, shelf: Shelf, tmp_path: Path) -> None:
    (phone,) = new_plot("A")
    content = picture("PNG")
    with pytest.raises(PhotoTooLarge):
        store.write_stream(phone.plot_id, sha(content), io.BytesIO(content), phone.device_id, NOW, cap=100)
    assert lying(shelf, tmp_path) == []


@pytest.mark.parametrize("name", ["../../../etc/passwd", "ab" * 31 + "/.", "AB" * 32 + "0", ""])
def test_a_name_is_never_a_path(store: BlobStore, name: str) -> None:
    (phone,) = new_plot("A")
    with pytest.raises((UnknownBlob, PhotoMismatch)):
        send(store, phone, picture(), name)


class Breaks(io.BytesIO):
    """A connection that ends in the middle."""

    def read(self, size: int | None = -1, /) -> bytes:
        piece = super().read(100)
        if not piece:
            raise ConnectionResetError
        return piece


def test_a_connection_that_breaks_off_leaves_nothing(store: BlobStore, shelf: Shelf, tmp_path: Path) -> None:
    (phone,) = new_plot("A")
    content = picture()
    with pytest.raises(ConnectionResetError):
        store.write_stream(phone.plot_id, sha(content), Breaks(content), phone.device_id, NOW)
    assert lying(shelf, tmp_path) == []
    assert send(store, phone, content)


def test_a_photo_of_two_megabytes_is_read_from_any_point(store: BlobStore, shelf: Shelf) -> None:
    (phone,) = new_plot("A")
    noise = Image.effect_noise((1500, 1400), 90)
    made = io.BytesIO()
    noise.save(made, "PNG")
    content = made.getvalue()
    assert len(content) > 1_500_000
    phone.push(put({**COUNT, "photos": [{"sha256": sha(content)}]}))
    send(store, phone, content)
    with store.open(phone.plot_id, sha(content)) as (_, stream):
        stream.seek(1_400_000)
        assert stream.read(1000) == content[1_400_000:1_401_000]
        stream.seek(0)
        assert small_picture(stream)[:3] == b"\xff\xd8\xff"
    assert list(shelf.sizes()) == [(phone.plot_id, sha(content), len(content))]


def test_two_who_send_the_same_at_once_make_one(store: BlobStore, shelf: Shelf, tmp_path: Path) -> None:
    (phone,) = new_plot("A")
    content = picture()
    app = current_app._get_current_object()  # type: ignore[attr-defined]

    def one(_: int) -> object:
        with app.app_context():
            return send(store, phone, content)

    with ThreadPoolExecutor(4) as threads:
        assert len(list(threads.map(one, range(8)))) == 8
    assert lying(shelf, tmp_path) == [sha(content)]
