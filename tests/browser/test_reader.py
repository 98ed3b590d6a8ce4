"""A phone that may only read, in real Chromium: it sees the plot and its warnings, and no button the server refuses."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, push
from tests.browser.warned import (
    MORNING,
    NIGHT,
    cold_morning,
    new_warned_plot,
    of_type,
    records_of_evening,
    synced,
)

pytestmark = pytest.mark.browser

WRITES = re.compile(
    "Edit|Add|Draw|Move|Walk|settings|Seen|Covered|Undo|Change|It froze|It did not|Not known|Save",
    re.IGNORECASE,
)


@pytest.fixture
def server(server: ServerProcess) -> ServerProcess:
    return server.without_jobs().start()


def guest(server: ServerProcess, plot: str, new_phone: Callable[..., Phone]) -> Phone:
    code = server.run("pair", "--plot", plot, "--role", "reader", "--show-code")["code"]
    phone = new_phone(server.url, "guest")
    page = phone.go(f"/#pair={code}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill("Guest", timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    return phone


def offers_nothing_to_write(page: Page) -> None:
    expect(page.get_by_role("main").get_by_role("button", name=WRITES)).to_have_count(0)


def test_a_guest_looks_at_the_plot_and_at_warnings_and_is_offered_nothing_to_write(
    server: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    plot, headers = new_warned_plot(server)
    push(server, headers, plot, records_of_evening(plot, 4.0, 3.0))
    server.run("warn", "--at", NIGHT.isoformat(), "--plot", plot)
    phone = guest(server, plot, new_phone)
    phone.context.clock.set_fixed_time(NIGHT)
    page = synced(phone)

    # The warning first, with what to do; the sheet of its place by its settings, all locked.
    phone.go("/")
    card = page.get_by_role("article").first
    expect(card).to_be_visible(timeout=LONG)
    expect(page.get_by_role("article").get_by_role("button")).to_have_count(0)
    expect(page.get_by_role("heading", name="Dawn round")).to_be_visible()
    expect(page.get_by_role("main").get_by_role("button")).to_have_count(0)
    expect(
        page.get_by_role("main").get_by_role("link", name=re.compile("evening|thermometer"))
    ).to_have_count(0)
    card.get_by_role("link").first.click()
    expect(page.get_by_text("This phone only reads")).to_be_visible(timeout=LONG)
    expect(page.get_by_role("img", name=re.compile("Air from sunset to sunrise"))).to_be_visible()
    offers_nothing_to_write(page)
    phone.go("/watch/frost")
    expect(page.get_by_text("This phone only reads")).to_be_visible(timeout=LONG)
    offers_nothing_to_write(page)
    expect(page.get_by_role("textbox").first).to_be_disabled()

    # The sketch and the list of places in words.
    phone.go("/plot")
    expect(page.locator(".stations").first).to_be_visible(timeout=LONG)
    expect(page.get_by_role("radio", name="Slugs")).to_be_visible()
    offers_nothing_to_write(page)
    expect(page.locator(".stations").get_by_role("button")).to_have_count(0)
    page.locator("g[data-place]").first.press("Enter")
    sheet = page.get_by_role("dialog")
    expect(sheet).to_be_visible()
    expect(sheet.get_by_role("button")).to_have_count(1)  # Close

    # The morning after nobody asks a guest, who could not answer.
    push(server, headers, plot, cold_morning(plot))
    synced(phone)
    phone.context.clock.set_fixed_time(MORNING)
    phone.go("/")
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    page.wait_for_timeout(1000)
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(1500)  # the question comes a moment after the first picture
    expect(page.get_by_role("region", name="Did it freeze")).to_have_count(0)
    offers_nothing_to_write(page)
    assert of_type(server, plot, headers, "warning_reply") == []
    assert phone.errors == []
