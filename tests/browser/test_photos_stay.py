"""Photos outlive what they belong to, and one that the server refuses is to be seen wherever somebody may look."""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.accessible import faults_of
from tests.browser.camera import camera_bytes, payload
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, phone_of, push, start_records, sync

pytestmark = pytest.mark.browser
NO_PICTURE = b"not a picture at all"
SHA = hashlib.sha256(NO_PICTURE).hexdigest()
# As savePhoto keeps it (pwa/src/storage/photos.ts), which takes pictures alone.
KEEP = """async ([sha256, data]) => {
  const bytes = Uint8Array.from(atob(data), (c) => c.charCodeAt(0)).buffer;
  const db = await new Promise((done, fail) => {
    const asked = indexedDB.open('underboard');
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
  const now = Date.now();
  const tx = db.transaction('photos', 'readwrite');
  tx.objectStore('photos').put({ sha256, bytes, mime: 'image/jpeg', taken_at: new Date(now).toISOString(),
    added_at: now, waiting: now, state: 'waiting', retries: 0, next_try: 0 });
  await new Promise((done, fail) => { tx.oncomplete = done; tx.onabort = () => fail(tx.error); });
  db.close();
}"""


def test_a_refused_photo_is_seen_everywhere_and_one_of_a_removed_note_stays(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    bed = start_records(plot)[1]["id"]
    photo = {"sha256": SHA, "bytes": len(NO_PICTURE), "parent_id": bed, "caption": "Fleece over the bed"}
    at = {"taken_at": start_records(plot)[4]["set"]["observed_at"]}
    push(home, bearer(home, plot), plot, [{"type": "photo", "id": f"{bed[:-2]}f9", "set": {**photo, **at}}])
    ada = phone_of(new_phone, home, plot, "Ada")
    ada.page.emulate_media(reduced_motion="reduce")
    sync(ada)
    is_refused(ada)
    note_goes_photo_stays(ada)
    sync(ada)
    left = [
        r["body"] for r in home.records(plot, bearer(home, plot)) if r["type"] == "photo" and not r["deleted"]
    ]
    assert [one["sha256"] for one in left] == [SHA]
    assert ada.errors == []


def is_refused(phone: Phone) -> None:
    """On Sync with the server's reason, in the diary, in the gallery, on the photo itself."""
    page = phone.page
    page.evaluate(KEEP, [SHA, base64.b64encode(NO_PICTURE).decode()])
    page.get_by_role("button", name="Sync now").click()
    card = page.get_by_role("region", name="1 photo not taken by the server")
    expect(card).to_contain_text("Fleece over the bed", timeout=LONG)
    expect(card).to_contain_text("That is not a whole JPEG, PNG or WebP picture.")
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"(?<!\d)1\s*needs you"))
    expect(page.get_by_role("main")).not_to_contain_text("Nothing to settle")
    assert faults_of(page, "a refused photo on Sync") == []
    page = phone.go("/diary")
    row = page.get_by_role("link", name=re.compile("1 photo: Bed"))
    expect(row).to_contain_text("1 photo not taken by the server", timeout=LONG)
    row.click()
    expect(page.locator(".photo-tile")).to_contain_text("not taken by the server", timeout=LONG)
    page.locator(".photo-tile").click()
    expect(page.get_by_role("dialog")).to_contain_text(
        "The server did not take this photo: That is not a whole"
    )
    assert faults_of(page, "a refused photo, opened") == []
    page.keyboard.press("Escape")


def note_goes_photo_stays(phone: Phone) -> None:
    page = phone.go("/diary")
    write_note(page)
    page.get_by_role("button", name=re.compile("Slime on the net")).wait_for()
    assert faults_of(page, "diary, with an undo offered") == []
    page.get_by_role("button", name=re.compile("Slime on the net")).click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_role("button", name="Remove this record").click()
    expect(sheet).to_contain_text("Its photo stays under Photos until removed there.", timeout=LONG)
    assert faults_of(page, "whether to remove a note with a photo") == []
    sheet.get_by_role("button", name="Yes, remove").click()
    expect(page.get_by_role("button", name=re.compile("Slime on the net"))).to_have_count(0, timeout=LONG)
    page.get_by_role("main").get_by_role("link", name="Photos", exact=True).click()
    main = page.get_by_role("main")
    expect(main).to_contain_text("1 photo belongs to a record that was removed.", timeout=LONG)
    page.get_by_role("radio", name="By place").check()
    page.get_by_role("region", name="Of removed records").locator(".photo-tile").click()
    sheet = page.get_by_role("dialog", name="A removed record")
    expect(sheet).to_contain_text("The photo stays until you remove it.")
    assert faults_of(page, "a photo of a removed record") == []
    sheet.get_by_role("button", name="Remove photo").click()
    sheet.get_by_role("button", name="Remove it").click()
    expect(page.locator(".photo-tile")).to_have_count(1, timeout=LONG)


def write_note(page: Page) -> None:
    page.get_by_role("button", name="Note", exact=True).click(timeout=LONG)
    form = page.get_by_role("dialog", name="New note")
    form.get_by_role("textbox").first.fill("Slime on the net")
    picture = payload("net.jpg", camera_bytes("2026:04:12 07:30:00", (200, 30, 30), (480, 360)))
    page.locator("input[type=file][multiple]").first.set_input_files([picture])
    expect(page.locator("dialog .photo-row img")).to_have_count(1, timeout=LONG)
    form.get_by_role("button", name="Save note").click()
    expect(form).to_be_hidden(timeout=LONG)
