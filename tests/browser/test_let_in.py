"""An owner lets another phone in from his own: two real phones, the whole way, and what stands in it."""

from __future__ import annotations

import io
import os
import re
from collections.abc import Callable
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Locator, Page, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, board, counts_of, phone_of, shows, sync, until, walk_path

pytestmark = pytest.mark.browser

OPEN = "Let another phone in"
MAKE = "Make the code"


def begin(phone: Phone) -> Locator:
    page = phone.go("/sync")
    page.get_by_role("button", name=OPEN).click(timeout=LONG)
    return page.get_by_role("dialog", name=OPEN)


def made(sheet: Locator, button: str = MAKE) -> str:
    """Have a code made and read it as it would be read aloud: two groups of four."""
    sheet.get_by_role("button", name=button).click()
    groups = sheet.locator(".let-in-code span")
    expect(groups).to_have_text([re.compile(r"^\w{4}$")] * 2, timeout=LONG)
    return "-".join(groups.all_inner_texts())


def read_by_a_camera(sheet: Locator, look: str) -> str:
    sheet.page.evaluate("look => { document.documentElement.dataset.look = look }", look)
    square = sheet.get_by_role("img", name=re.compile("^Picture code"))
    square.scroll_into_view_if_needed()
    (found,) = zxingcpp.read_barcodes(Image.open(io.BytesIO(square.screenshot())))
    return str(found.text)


def pictured(page: Page, name: str) -> None:
    """For whoever wants to look: UNDERBOARD_LOOK_AT names a folder."""
    if folder := os.environ.get("UNDERBOARD_LOOK_AT"):
        page.screenshot(path=Path(folder) / f"{name}.png")


def test_a_helper_comes_in_by_a_code_from_the_owners_phone(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    owner = phone_of(new_phone, home, plot, "Ada")
    sheet = begin(owner)
    expect(sheet.get_by_role("radio", name=re.compile("^Helper"))).to_be_checked()
    pictured(owner.page, "roles")
    code = made(sheet)
    expect(sheet.get_by_text("Lets one phone in as helper.")).to_be_focused()
    expect(sheet.get_by_text(f"{home.url}/join", exact=True)).to_be_visible()
    expect(sheet).to_contain_text(re.compile(r"Good until \d\d:\d\d: (10|9) minutes left"))
    # This server speaks to its own computer only, and says so.
    expect(sheet).to_contain_text("good on this computer only")
    for look in ("day", "dawn"):
        assert read_by_a_camera(sheet, look) == f"{home.url}/#pair={code}"
        pictured(owner.page, f"square-{look}")
        sheet.locator(".let-in-code").scroll_into_view_if_needed()
        pictured(owner.page, f"code-{look}")
    assert owner.page.evaluate("document.documentElement.scrollWidth <= innerWidth")

    second = new_phone(home.url, "second")
    page = second.go("/join")  # the address as it stands there, then the code as it was heard
    page.get_by_label("Code", exact=True).fill(code.lower().replace("-", " "), timeout=LONG)
    page.get_by_label("Name of this phone").fill("Bo’s phone")
    page.get_by_role("button", name="Join", exact=True).click()
    page.get_by_label("Your name").fill("Bo", timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)

    # Whoever holds the owner's phone sees it come in; the code is gone, and the list has the new phone.
    expect(sheet).to_contain_text("Bo’s phone is in.", timeout=LONG)
    expect(sheet.locator(".let-in-code")).to_have_count(0)
    owner.page.keyboard.press("Escape")
    listed = owner.page.get_by_role("listitem").filter(has_text="Bo’s phone")
    expect(listed.get_by_role("button", name="Cut off")).to_be_visible(timeout=LONG)
    (bo,) = (one for one in home.here("devices", "--plot", plot)["devices"] if one["name"] == "Bo’s phone")
    assert bo["role"] == "helper"

    records_but_manages_nothing(home, plot, second)
    assert owner.errors == [] and second.errors == []


def records_but_manages_nothing(home: ServerProcess, plot: str, phone: Phone) -> None:
    page = phone.go(walk_path(plot))
    board(page, 2)
    page.get_by_role("button", name="One more slug").click(timeout=LONG)
    shows(page, 2, "1")
    sync(phone)
    until(home, plot, page, lambda found: any(c["body"]["observer"] == "Bo" for c in found))
    assert {c["body"]["observer"] for c in counts_of(home, plot)} == {"Ada", "Bo"}
    expect(page.get_by_role("listitem").filter(has_text="Bo’s phone")).to_be_visible(timeout=LONG)
    expect(page.get_by_role("button", name=OPEN)).to_have_count(0)
    # Nor does the server make a code for it, whatever its page asks.
    ask = """() => fetch('/api/v1/codes', { method: 'POST', body: '{"role": "owner"}',
      headers: { 'Content-Type': 'application/json', 'X-App': '1' } }).then((answer) => answer.status)"""
    assert page.evaluate(ask) == 403


def test_without_the_server_it_says_so_and_the_rest_goes_on(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    sheet = begin(phone)
    phone.offline()
    sheet.get_by_role("button", name=MAKE).click()
    expect(sheet.get_by_role("alert").or_(sheet.get_by_role("status"))).to_contain_text(
        "The server cannot be reached from here", timeout=LONG
    )
    pictured(phone.page, "unreached")
    assert sheet.locator(".let-in-code").count() == 0
    phone.page.keyboard.press("Escape")
    phone.page.get_by_role("navigation").get_by_role("link", name="Diary").click()
    expect(phone.page.get_by_role("heading", name="Diary", exact=True)).to_be_visible(timeout=LONG)
    phone.offline(False)
    sheet = begin(phone)
    sheet.get_by_role("radio", name=re.compile("^Reader")).check()
    made(sheet)
    expect(sheet).to_contain_text("Lets one phone in as reader.")
    assert phone.errors == []


def test_a_code_that_has_run_out_makes_room_for_another(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    phone.context.clock.install()
    sheet = begin(phone)
    sheet.get_by_role("radio", name=re.compile("^Owner")).check()
    first = made(sheet)
    phone.context.clock.fast_forward("09:01")
    expect(sheet).to_contain_text("1 minute left")
    phone.context.clock.fast_forward("01:00")
    expect(sheet).to_contain_text("This code has run out.")
    expect(sheet.get_by_role("img")).to_have_count(0)
    pictured(phone.page, "run-out")
    second = made(sheet, "Make a new code")
    assert second != first
    expect(sheet).to_contain_text("Lets one phone in as owner.")
    assert phone.errors == []
