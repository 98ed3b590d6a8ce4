"""Photos, from none to two that are compared."""

from __future__ import annotations

import re
from collections.abc import Iterator

from playwright.sync_api import Page, expect

from tests.browser.camera import camera_bytes, payload
from tests.browser.small_plot import LONG
from tests.browser.steps import goto, press, settle


def photos(page: Page) -> Iterator[str]:
    goto(page, "/photos/of/0190")
    yield "photos of a place that is not there"
    goto(page, "/photos/compare/0190")
    yield "nothing to compare"
    goto(page, "/photos")
    yield "photos, none yet"
    pictures = [
        payload(name, camera_bytes(taken, colour, (480, 360)))
        for name, taken, colour in (
            ("spring.jpg", "2026:04:12 07:30:00", (200, 30, 30)),
            ("summer.jpg", "2026:07:02 07:30:00", (200, 90, 30)),
        )
    ]
    page.locator("input[type=file][multiple]").first.set_input_files(pictures)
    expect(page.locator("dialog .photo-row img")).to_have_count(2, timeout=LONG)
    page.get_by_label("What are they of?").select_option(index=1)
    settle(page)
    yield "photos, two new ones"
    press(page, "Save 2 photos")
    expect(page.locator(".photo-tile img")).to_have_count(2, timeout=LONG)
    settle(page)
    yield "/photos"
    page.locator(".photo-tile").first.click()
    page.locator(".photo-whole img").wait_for(timeout=LONG)
    press(page, "Remove photo")
    yield "photos, one of them, and whether to remove it"
    page.keyboard.press("Escape")
    page.get_by_role("radio", name="By place").check()
    settle(page)
    yield "photos, by place"
    page.get_by_role("link", name=re.compile("^Compare")).first.click()
    page.locator(".photo-slider img").nth(1).wait_for(timeout=LONG)
    settle(page)
    yield "/photos/compare/:pair"
    page.get_by_role("radio", name="Side by side").check()
    settle(page)
    yield "compare, side by side"
    goto(page, page.evaluate("location.pathname").replace("compare", "of"))
    yield "/photos/of/:place"
