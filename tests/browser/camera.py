"""Pictures as a phone's camera writes them."""

from __future__ import annotations

import io

from PIL import Image
from playwright.sync_api import FilePayload

ORIENTATION, GPS, CAMERA, EXIF, TAKEN, OFFSET = 0x0112, 0x8825, 0x0110, 0x8769, 0x9003, 0x9011


def camera_bytes(taken: str, colour: tuple[int, int, int], size: tuple[int, int] = (2400, 1800)) -> bytes:
    """By a phone held upright: lying on its side and saying so, with place, camera and clock in it."""
    picture = Image.new("RGB", size, colour)
    picture.paste((30, 30, 200), (size[0] // 2, 0, *size))
    exif = Image.Exif()
    exif[ORIENTATION], exif[CAMERA] = 6, "Some phone"
    exif.get_ifd(EXIF).update({TAKEN: taken, OFFSET: "+01:00"})
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 28.0, 38.0), 3: "W", 4: (0.0, 0.0, 5.0)})
    file = io.BytesIO()
    picture.save(file, "JPEG", exif=exif)
    with Image.open(io.BytesIO(file.getvalue())) as kept:
        assert kept.getexif().get_ifd(GPS)
    return file.getvalue()


def payload(name: str, data: bytes) -> FilePayload:
    """For a file input, with no file on the disk."""
    return {"name": name, "mimeType": "image/jpeg", "buffer": data}
