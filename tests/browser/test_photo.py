"""A photo taken at a board with no network: small, upright and silent on the server, once the phone is home."""

from __future__ import annotations

import hashlib
import io
import urllib.request
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, board, phone_of, shows, sync, until, walk_path

pytestmark = pytest.mark.browser
ORIENTATION, GPS, CAMERA = 0x0112, 0x8825, 0x0110


def camera_picture(path: Path) -> Path:
    """As a phone held upright writes it: lying on its side with a mark that says so, and with the place in it."""
    picture = Image.new("RGB", (3000, 2000), (200, 30, 30))
    picture.paste((30, 30, 200), (1500, 0, 3000, 2000))
    exif = Image.Exif()
    exif[ORIENTATION], exif[CAMERA] = 6, "Some phone"
    exif.get_ifd(GPS).update({1: "N", 2: (51.0, 28.0, 38.0), 3: "W", 4: (0.0, 0.0, 5.0)})
    picture.save(path, exif=exif)
    with Image.open(path) as kept:
        assert kept.getexif().get_ifd(GPS)
    return path


def test_a_photo_of_a_board_reaches_the_server_without_place_or_camera(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone], tmp_path: Path
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    phone.close()  # in peace: Chromium writes cookies up to half a minute late, and a killed one forgets it was paired
    page = phone.open(offline=True)
    phone.go(walk_path(plot))
    board(page, 2)
    turned = page.get_by_role("region", name="Board 2", exact=True)
    page.locator("input[type=file]").set_input_files(camera_picture(tmp_path / "board.jpg"))
    expect(turned).to_contain_text("1 photo", timeout=LONG)
    shows(page, 2, "not turned yet")  # a photo is no count

    # The phone dies before the board is counted: the photo is held for it.
    phone.kill()
    page = phone.open(offline=True)
    phone.go(walk_path(plot))
    board(page, 2)
    turned = page.get_by_role("region", name="Board 2", exact=True)
    expect(turned).to_contain_text("1 photo", timeout=LONG)
    page.get_by_role("button", name="None here", exact=True).click()
    shows(page, 2, "0")

    phone.offline(False)
    sync(phone)
    found = until(home, plot, page, lambda counts: len(counts) == 2)
    (photo,) = next(c["body"]["photos"] for c in found if c["body"].get("photos"))
    expect(page.get_by_role("main")).to_contain_text("0photos waiting", timeout=LONG)
    address = f"{home.url}/api/v1/plots/{plot}/blobs/{photo['sha256']}"
    with urllib.request.urlopen(
        urllib.request.Request(address, headers=bearer(home, plot)), timeout=60
    ) as answer:
        data = answer.read()
    assert (hashlib.sha256(data).hexdigest(), len(data)) == (photo["sha256"], photo["bytes"])
    with Image.open(io.BytesIO(data)) as kept:
        assert (kept.format, kept.size) == ("JPEG", (1067, 1600))
        assert not kept.getexif()
        top, bottom = kept.getpixel((500, 100)), kept.getpixel((500, 1500))
    assert isinstance(top, tuple) and isinstance(bottom, tuple)
    assert top[0] > 150 > top[2] and bottom[2] > 150 > bottom[0]  # upright: what lay on the left is above
