"""A phone that may only read, in real Chromium: it sees the plot and its warnings, and no button the server refuses."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, new_plot, push, start_records, walk_path
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
    code = server.code_for(plot, "reader")
    phone = new_phone(server.url, "guest")
    page = phone.go(f"/#pair={code}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill("Guest", timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    return phone


READS = "This phone only reads"


def offers_nothing_to_write(page: Page) -> None:
    expect(page.get_by_role("main").get_by_role("button", name=WRITES)).to_have_count(0)


def test_a_guest_looks_at_the_plot_and_at_warnings_and_is_offered_nothing_to_write(
    server: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    plot, headers = new_warned_plot(server)
    push(server, headers, plot, records_of_evening(plot, 4.0, 3.0))
    server.here("warn", "--at", NIGHT.isoformat(), "--plot", plot)
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


def furnished(server: ServerProcess) -> str:
    """A plot with something to do on every screen: boards half counted, one of them twice, a thermometer, a trap."""
    plot = new_plot(server)
    stem = start_records(plot)[1]["id"][:-2]
    at = start_records(plot)[4]["set"]["observed_at"]
    count = {"round_id": f"{stem}b0", "station_id": f"{stem}c1", "state": "counted", "observed_at": at}
    celsius = {"value": 4.5, "unit": "degC"}
    meter = {"kind": "thermometer", "place_id": f"{stem}a0", "label": "Post", "exposure": "screen"}
    trap = {"kind": "bait_trap", "place_id": f"{stem}a0", "label": "T1", "set_on": "2026-04-01"}
    records = [
        ("slug_count", "d2", {**count, "count": 9, "observer": "Bo"}),
        ("station", "c8", meter),
        ("station", "c9", trap),
        (
            "temperature",
            "d3",
            {"station_id": f"{stem}c8", "observed_at": at, "min": celsius, "reset_done": True},
        ),
        ("trap_catch", "d4", {"station_id": f"{stem}c9", "set_at": "2026-04-01T08:00:00+01:00"}),
    ]
    push(
        server,
        bearer(server, plot),
        plot,
        [{"type": kind, "id": stem + end, "set": set_} for kind, end, set_ in records],
    )
    return plot


def test_a_guest_opens_every_screen_by_its_address_and_finds_no_form(
    server: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    plot = furnished(server)
    before = server.records(plot, bearer(server, plot))
    phone = guest(server, plot, new_phone)
    page = synced(phone)
    main = page.get_by_role("main")
    # Two counts of Board 1 wait for somebody who may say which stands; other people's phones are the owner's.
    expect(main).to_contain_text("1 thing waits to be settled. This phone only reads", timeout=LONG)
    expect(main.get_by_role("button", name=re.compile("This one|Keep|Type|Take|Settle"))).to_have_count(0)
    expect(main.get_by_role("listitem").filter(has_text="script").first).to_be_visible(timeout=LONG)
    expect(main.get_by_role("button", name="Cut off")).to_have_count(1)
    expect(main.get_by_role("button", name=re.compile("Let another"))).to_have_count(0)

    # The round as it goes, without the pad.
    phone.go(walk_path(plot))
    expect(main).to_contain_text(READS, timeout=LONG)
    expect(main.get_by_label("Boards in walking order")).to_contain_text("two counts")
    pad = re.compile("slug|None here|Could not|Eggs|Photo|Undo|Next|Finish|Look at", re.IGNORECASE)
    expect(main.get_by_role("button", name=pad)).to_have_count(0)
    page.get_by_role("button", name="Settings of the round").click()
    expect(page.get_by_role("dialog")).to_be_visible()  # how it looks is this phone's own
    page.keyboard.press("Escape")

    screens = {"/readings": "Post", "/evening": READS, "/traps": "T1", "/watch": "Frost"}
    for path, shown in {**screens, "/trials/new": "No trial yet"}.items():
        phone.go(path)
        expect(main).to_contain_text(shown, timeout=LONG)
        expect(main.get_by_role("textbox")).to_have_count(0)
        expect(main.get_by_role("checkbox")).to_have_count(0)
        written = re.compile("Read|Lift|Set|Save|Type|[0-9]|Add", re.IGNORECASE)
        expect(main.get_by_role("button", name=written)).to_have_count(0)
    phone.go("/readings")
    expect(main).to_contain_text(re.compile("4.5"), timeout=LONG)

    # The questions of a new plot are not for guests either.
    phone.go("/start")
    expect(page.get_by_role("link", name="To the first morning")).to_be_visible(timeout=LONG)
    expect(main.get_by_role("textbox")).to_have_count(0)
    synced(phone)
    assert server.records(plot, bearer(server, plot)) == before
    assert phone.errors == []
    is_asked_nothing(server, new_phone)


def is_asked_nothing(server: ServerProcess, new_phone: Callable[..., Phone]) -> None:
    """The guest of a plot that nobody has set up waits for those who may."""
    code = server.code_for(None)
    body = json.dumps({"code": code, "device_name": "script", "want": "token"}).encode()
    plot = str(server.call("POST", "/api/v1/pair", body=body)["plot_id"])
    code = server.code_for(plot, "reader")
    phone = new_phone(server.url, "early guest")
    page = phone.go(f"/#pair={code}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    expect(page.get_by_role("button", name="Fetch again")).to_be_visible(timeout=LONG)
    page.wait_for_timeout(500)
    expect(page.get_by_role("textbox")).to_have_count(0)
    expect(page.get_by_role("button", name=re.compile("set up", re.IGNORECASE))).to_have_count(0)
    assert phone.errors == []
