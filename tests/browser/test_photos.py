"""Photos on a phone: several at once with no network, looked through, sent, compared, removed; and a full phone."""

from __future__ import annotations

import hashlib
import io
import re
import urllib.request
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, JpegImagePlugin
from playwright.sync_api import Locator, Page, Route, expect

from tests.browser.accessible import faults_of
from tests.browser.camera import camera_bytes
from tests.browser.diary_hands import bodies, day_words, kept_offline, sheet
from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, phone_of, start_records, sync

pytestmark = pytest.mark.browser
MIB = 1024 * 1024


def camera_picture(path: Path, taken: str, colour: tuple[int, int, int]) -> Path:
    path.write_bytes(camera_bytes(taken, colour))
    return path


def noise(path: Path, seed: int) -> Path:
    """A picture that hardly becomes smaller: about 1 MB as the phone keeps it."""
    grain = Image.effect_noise((1600, 1200), 120)
    Image.merge("RGB", (grain, grain.rotate(90 * seed % 360), grain)).save(path, quality=85)
    return path


def choose(page: Page, *files: Path) -> None:
    page.locator("input[type=file][multiple]").first.set_input_files(list(files))


def tiles(page: Page) -> Locator:
    return page.locator(".photo-tile")


def all_drawn(page: Page, count: int, scope: str = ".photo-tile img") -> None:
    """So many pictures, each with something in it."""
    expect(page.locator(scope)).to_have_count(count, timeout=LONG)
    until(
        page,
        "(scope) => [...document.querySelectorAll(scope)].every((one) => one.complete && one.naturalWidth > 0)",
        scope,
    )


def photo_bytes(home: ServerProcess, plot: str, sha256: str) -> bytes:
    address = f"{home.url}/api/v1/plots/{plot}/blobs/{sha256}"
    request = urllib.request.Request(address, headers=bearer(home, plot))
    with urllib.request.urlopen(request, timeout=60) as answer:
        return bytes(answer.read())


def held_back(phone: Phone) -> Callable[[], None]:
    """Hold back photos on their way out until the answer is called."""
    held: list[Route] = []
    free = False

    def keep(route: Route) -> None:
        if free or route.request.method != "PUT":
            route.continue_()
        else:
            held.append(route)

    phone.context.route("**/blobs/*", keep)

    def let_go() -> None:
        nonlocal free
        free = True
        for route in held:
            route.continue_()

    return let_go


def test_photos_taken_offline_follow_the_records_silent_and_another_phone_looks_compares_and_removes(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone], tmp_path: Path
) -> None:
    bed = start_records(plot)[1]["id"]
    ada = phone_of(new_phone, home, plot, "Ada")
    ada.page.emulate_media(reduced_motion="reduce")  # colours are measured when they have come to rest
    sync(ada)
    kept_offline(ada)
    take_offline(ada, bed, tmp_path)
    goes_out_with_progress(ada, home, plot)
    is_silent_and_upright(home, plot, bed)

    bo = phone_of(new_phone, home, plot, "Bo")
    bo.page.emulate_media(reduced_motion="reduce")
    sync(bo)
    kept_offline(bo)
    looks_through(bo)
    compares(bo.page)
    page = bo.go("/photos")
    tiles(page).filter(has_text="After the drench").click(timeout=LONG)
    page.get_by_role("dialog").get_by_role("button", name="Remove photo").click()
    page.get_by_role("dialog").get_by_role("button", name="Remove it").click()
    expect(tiles(page)).to_have_count(1, timeout=LONG)
    notes_with_a_photo(bo.go("/diary"), tmp_path / "spring.jpg")
    sync(bo)
    ((note, _),) = records_of(home, plot, "note")
    photos = {body["parent_id"]: body["taken_at"] for _, body in records_of(home, plot, "photo")}
    assert photos == dict.fromkeys((bed, note), "2026-04-12T07:30:00+01:00")  # the summer's is gone
    sync(ada)
    all_drawn(ada.go("/photos"), 2)
    assert ada.errors == [] and bo.errors == []


def notes_with_a_photo(page: Page, picture: Path) -> None:
    """In the form, in the row of the diary, in the open entry."""
    page.get_by_role("button", name="Note", exact=True).click(timeout=LONG)
    form = page.get_by_role("dialog")
    form.get_by_role("textbox").first.fill("Slime on the north side")
    choose(page, picture)
    all_drawn(page, 1, "dialog .photo-row img")
    form.get_by_role("button", name=re.compile("^Save")).click()
    row = page.get_by_role("button", name=re.compile("Slime on the north side"))
    expect(row.get_by_role("img", name="1 photo")).to_be_visible(timeout=LONG)
    row.click()
    all_drawn(page, 1, "dialog .photo-tile img")
    page.keyboard.press("Escape")


def records_of(home: ServerProcess, plot: str, kind: str) -> list[tuple[str, dict[str, Any]]]:
    records = home.records(plot, bearer(home, plot))
    return [(each["id"], each["body"]) for each in records if each["type"] == kind and not each["deleted"]]


def take_offline(phone: Phone, bed: str, folder: Path) -> None:
    """Two pictures and a file that is none, chosen at once from the sheet of a place on the plot."""
    phone.offline()
    page = phone.go("/diary")
    page.get_by_role("link", name="Photos", exact=True).click(timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text("No photos yet", timeout=LONG)
    page = phone.go("/plot")
    page.get_by_role("button", name="Place Bed", exact=True).click(timeout=LONG)
    page.get_by_role("dialog").get_by_role("link", name="Photos").click()
    expect(page).to_have_url(re.compile(f"/photos/of/{bed}$"))
    broken = folder / "broken.jpg"
    broken.write_bytes(b"not a picture at all")
    choose(
        page,
        camera_picture(folder / "spring.jpg", "2026:04:12 07:30:00", (200, 30, 30)),
        broken,
        camera_picture(folder / "summer.jpg", "2026:07:02 07:30:00", (200, 90, 30)),
    )
    form = sheet(page, "New photos")
    expect(form).to_contain_text("broken.jpg could not be read as a picture", timeout=LONG)
    all_drawn(page, 2, "dialog .photo-row img")
    page.reload()  # the phone was locked: what was chosen is still there
    page.get_by_role("button", name="Save 2 photos").click(timeout=LONG)
    form = sheet(page, "New photos")
    expect(form.get_by_label("What are they of?")).to_have_value(bed)
    form.get_by_label("What they show").fill("Lettuce by the grass edge")
    assert faults_of(page, "new photos") == []
    form.get_by_role("button", name="Save 2 photos").click()
    expect(form).to_be_hidden(timeout=LONG)
    expect(tiles(page).filter(has_text="only on this phone")).to_have_count(2)
    expect(page.get_by_role("main")).to_contain_text("2 photos are only on this phone yet")
    page.reload()
    all_drawn(page, 2)
    assert faults_of(page, "photos of a place") == []


def goes_out_with_progress(phone: Phone, home: ServerProcess, plot: str) -> None:
    let_go = held_back(phone)
    page = phone.page
    with page.expect_request(lambda asked: asked.method == "PUT", timeout=LONG):
        phone.offline(False)
    expect(page.get_by_role("progressbar", name="Sending photos: 0 of 2")).to_be_visible(timeout=LONG)
    assert len(bodies(home, plot, "photo")) == 2  # the records are there before the first photo
    let_go()
    expect(tiles(page).filter(has_text="only on this phone")).to_have_count(0, timeout=LONG)


def is_silent_and_upright(home: ServerProcess, plot: str, bed: str) -> None:
    """Read the bytes that the server stored."""
    for body in bodies(home, plot, "photo"):
        assert (body["caption"], body["parent_id"]) == ("Lettuce by the grass edge", bed)
        assert body["taken_at"] in ("2026-04-12T07:30:00+01:00", "2026-07-02T07:30:00+01:00")
        data = photo_bytes(home, plot, body["sha256"])
        assert (hashlib.sha256(data).hexdigest(), len(data)) == (body["sha256"], body["bytes"])
        with Image.open(io.BytesIO(data)) as kept:
            assert isinstance(kept, JpegImagePlugin.JpegImageFile)
            assert (kept.format, kept.size) == ("JPEG", (1200, 1600))
            # No Exif, XMP, IPTC or comment: nothing beside the picture but the frame of the file (ITU-T T.81, B).
            assert (dict(kept.getexif()), "comment" in kept.info) == ({}, False)
            assert {name for name, _ in kept.applist} <= {"APP0", "APP2"}, kept.applist
            top, bottom = kept.getpixel((600, 100)), kept.getpixel((600, 1500))
        assert [word for word in (b"Exif", b"GPS", b"Some phone", b"ns.adobe.com") if word in data] == []
        assert isinstance(top, tuple) and isinstance(bottom, tuple)
        assert top[0] > 150 > top[2] and bottom[2] > 150 > bottom[0]  # upright: what lay on the left is above


def looks_through(phone: Phone) -> None:
    """Small pictures with no network, the photo itself as soon as there is one, and better words for it."""
    page = phone.go("/photos")
    all_drawn(page, 2)
    phone.offline()
    page.reload()
    all_drawn(page, 2)
    tiles(page).first.click()
    dialog = page.get_by_role("dialog")
    expect(dialog).to_contain_text("The photo itself is on the server", timeout=LONG)
    phone.offline(False)
    until(page, "() => document.querySelector('.photo-whole img')?.naturalHeight === 1600", timeout=LONG)
    dialog.get_by_label("What it shows").fill("After the drench")
    dialog.get_by_role("button", name="Save the words").click()
    expect(page.get_by_role("dialog", name="After the drench")).to_be_visible(timeout=LONG)
    assert faults_of(page, "one photo") == []
    page.keyboard.press("Escape")


def compares(page: Page) -> None:
    """Then and now, by keyboard, by finger, and side by side."""
    page.get_by_role("radio", name="By place").check()
    page.get_by_role("link", name="Compare Bed").click()
    # 18 days left of April, 31 of May, 30 of June, 2 of July
    words = f"81 days between them: {day_words(date(2026, 4, 12))} to {day_words(date(2026, 7, 2))}"
    expect(page.get_by_role("main")).to_contain_text(words, timeout=LONG)
    all_drawn(page, 2, ".photo-slider img")
    slider = page.get_by_role("slider", name=re.compile("earlier photo"))
    assert faults_of(page, "one over the other") == []
    slider.focus()
    page.keyboard.press("ArrowRight")
    expect(slider).to_have_attribute("aria-valuetext", "55 % before")
    box = page.locator(".photo-slider").bounding_box()
    assert box is not None
    page.touchscreen.tap(box["x"] + box["width"] / 4, box["y"] + box["height"] / 2)
    expect(slider).to_have_attribute("aria-valuetext", "25 % before")
    page.get_by_role("radio", name="Side by side").check()
    all_drawn(page, 2, ".photo-beside img")


def test_a_full_phone_refuses_photos_in_words_and_still_keeps_what_is_typed(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone], tmp_path: Path
) -> None:
    def small_disk(url: str, name: str, **options: Any) -> Phone:
        phone = new_phone(url, name, **options)
        cdp = phone.context.new_cdp_session(phone.page)
        # Before the first use of the storage: later Chromium goes by the free space that it remembers.
        cdp.send("Storage.overrideQuotaForOrigin", {"origin": url, "quotaSize": 8 * MIB})
        return phone

    phone = phone_of(small_disk, home, plot, "Ada")
    sync(phone)
    kept_offline(phone)
    phone.offline()
    page = phone.go("/photos")
    choose(page, *(noise(tmp_path / f"{n}.jpg", n) for n in range(6)))
    form = sheet(page, "New photos")
    expect(form).to_contain_text("the phone is nearly full, and counts must still fit", timeout=LONG)
    expect(page.get_by_role("alert").filter(has_text="Not saved")).to_have_count(0)
    kept = int(re.sub(r"\D", "", form.get_by_role("button", name=re.compile("^Save")).inner_text()))
    assert 1 <= kept < 6
    form.get_by_role("button", name=re.compile("^Save")).click()
    expect(tiles(page)).to_have_count(kept, timeout=LONG)
    page = phone.go("/diary")
    page.get_by_role("button", name="Note", exact=True).click(timeout=LONG)
    note = page.get_by_role("dialog")
    note.get_by_role("textbox").first.fill("Seven slugs under the water butt")
    note.get_by_role("button", name=re.compile("^Save")).last.click()
    expect(page.get_by_role("main")).to_contain_text("Seven slugs under the water butt", timeout=LONG)
    phone.offline(False)
    sync(phone)
    assert [body["text"] for body in bodies(home, plot, "note")] == ["Seven slugs under the water butt"]
