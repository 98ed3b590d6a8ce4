"""Pictures that phones hand over and a browser may not read: other formats, none, half of one, a very large one."""

from __future__ import annotations

import io
import re
from collections.abc import Callable

import pytest
from PIL import Image
from playwright.sync_api import FilePayload, Page, expect

from tests.browser.camera import ORIENTATION, camera_bytes, payload
from tests.browser.diary_hands import bodies, sheet
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, board, phone_of, shows, sync
from tests.browser.test_photos import all_drawn, photo_bytes

pytestmark = pytest.mark.browser
TAKEN = "2026:04:12 07:30:00"


def heic() -> FilePayload:
    """As some phones save pictures. The frame is whole (ISO/IEC 23008-12), of another picture coded alike: the brand
    and the coding named in it are what a browser goes by, and it stops there."""
    file = io.BytesIO()
    Image.new("RGB", (640, 480), (200, 30, 30)).save(file, "AVIF")
    data = file.getvalue()
    for what, instead in ((b"avif", b"heic"), (b"av01", b"hvc1"), (b"av1C", b"hvcC")):
        assert what in data
        data = data.replace(what, instead)
    return {"name": "IMG_0412.HEIC", "mimeType": "image/heic", "buffer": data}


def cut_off(part: float, name: str = "cut_off.jpg") -> FilePayload:
    """A picture that was being written when the phone went off."""
    data = camera_bytes(TAKEN, (200, 30, 30))
    return payload(name, data[: int(len(data) * part)])


def turned(orientation: int) -> FilePayload:
    """The same sight by a camera that was held so (Exif 2.3, 4.6.4 A): red at the left, a blue corner right below."""
    wide = 400 + 40 * orientation  # each a picture of its own
    picture = Image.new("RGB", (wide, 300), (200, 200, 200))
    picture.paste((200, 30, 30), (0, 0, wide // 2, 300))
    picture.paste((30, 30, 200), (wide // 2, 150, wide, 300))
    back = {
        2: Image.Transpose.FLIP_LEFT_RIGHT,
        3: Image.Transpose.ROTATE_180,
        4: Image.Transpose.FLIP_TOP_BOTTOM,
        5: Image.Transpose.TRANSPOSE,
        6: Image.Transpose.ROTATE_90,
        7: Image.Transpose.TRANSVERSE,
        8: Image.Transpose.ROTATE_270,
    }
    exif = Image.Exif()
    exif[ORIENTATION] = orientation
    file = io.BytesIO()
    lying = picture.transpose(back[orientation]) if orientation in back else picture
    lying.save(file, "JPEG", exif=exif)
    return payload(f"turned_{orientation}.jpg", file.getvalue())


def test_what_cannot_be_read_is_said_and_the_rest_is_kept_upright_also_when_it_is_very_large(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    phone.offline()
    at_the_board(phone.page)
    into_the_form(phone.go("/photos"))
    very_large(phone)
    phone.page.get_by_role("dialog").get_by_role("button", name="Save 10 photos").click()
    all_drawn(phone.page, 13)  # three of them taken at the board
    phone.offline(False)
    sync(phone)
    expect(phone.page.get_by_role("main")).to_contain_text(
        re.compile(r"(?<!\d)0photos waiting"), timeout=LONG
    )
    kept = bodies(home, plot, "photo")
    assert {body["caption"] for body in kept} == {"Lettuce by the grass edge"}
    small = [(400 + 40 * orientation, 300, "red red grey blue") for orientation in range(1, 9)]
    large = [(1200, 1600, "red blue red blue")] * 2
    assert sorted(corners(photo_bytes(home, plot, body["sha256"])) for body in kept) == sorted(small + large)
    assert phone.errors == []


def at_the_board(page: Page) -> None:
    """What was counted stays, and a photo that can be read follows."""
    board(page, 2)
    page.get_by_role("button", name="One more slug").click()
    camera = page.locator("input[type=file]")
    turned_board = page.get_by_role("region", name="Board 2", exact=True)
    for done, one in enumerate((heic(), payload("empty.jpg", b""), cut_off(0.6))):
        camera.set_input_files(one)
        words = "could not be read. Take it again, with the camera set to JPEG"
        expect(page.get_by_role("alert")).to_contain_text(words, timeout=LONG)
        camera.set_input_files(payload("good.jpg", camera_bytes(TAKEN, (90, 90, 30 * done))))
        expect(turned_board).to_contain_text(f"{done + 1} photo", timeout=LONG)
        expect(page.get_by_role("alert")).to_have_count(0)
        shows(page, 2, "1")


def into_the_form(page: Page) -> None:
    """Among others, with words typed already."""
    chosen = page.locator("input[type=file][multiple]").first
    chosen.set_input_files([payload("first.jpg", camera_bytes(TAKEN, (200, 90, 30)))], timeout=LONG)
    form = sheet(page, "New photos")
    all_drawn(page, 1, "dialog .photo-row img")
    form.get_by_label("What they show").fill("Lettuce by the grass edge")
    good = [turned(orientation) for orientation in range(1, 9)]
    page.locator("dialog input[type=file][multiple]").set_input_files(
        [heic(), payload("empty.jpg", b""), *good, cut_off(0.6), cut_off(0.01, "only_a_head.jpg")]
    )
    for name in ("IMG_0412.HEIC", "cut_off.jpg", "only_a_head.jpg"):
        words = f"{name} could not be read as a picture. Choose a JPEG, PNG or WebP that is whole."
        expect(form).to_contain_text(words, timeout=LONG)
    expect(form).to_contain_text("empty.jpg is empty. Choose it again.")
    all_drawn(page, 9, "dialog .photo-row img")
    expect(form.get_by_label("What they show")).to_have_value("Lettuce by the grass edge")


def very_large(phone: Phone) -> None:
    """48 megapixels, on a phone a quarter as fast."""
    cdp = phone.context.new_cdp_session(phone.page)
    cdp.send("Emulation.setCPUThrottlingRate", {"rate": 4})
    large = payload("very_large.jpg", camera_bytes(TAKEN, (200, 30, 30), (8064, 6048)))
    phone.page.locator("dialog input[type=file][multiple]").set_input_files([large])
    all_drawn(phone.page, 10, "dialog .photo-row img")
    cdp.send("Emulation.setCPUThrottlingRate", {"rate": 1})


def corners(data: bytes) -> tuple[int, int, str]:
    """Size and colours of a picture that the server has: left above, left below, right above, right below."""
    with Image.open(io.BytesIO(data)) as kept:
        assert (kept.format, dict(kept.getexif())) == ("JPEG", {})
        wide, high = kept.size
        points = [(x, y) for x in (20, wide - 20) for y in (20, high - 20)]
        colours = [kept.convert("RGB").getpixel(point) for point in points]
    return wide, high, " ".join(colour_of(*colour) for colour in colours if isinstance(colour, tuple))


def colour_of(red: float, _: float, blue: float) -> str:
    return "red" if red > 150 > blue else "blue" if blue > 150 > red else "grey"
