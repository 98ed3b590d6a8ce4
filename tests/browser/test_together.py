"""Two phones and a network that cannot be trusted: nothing doubled, nothing overwritten, nothing falsely sent."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest
from playwright.sync_api import APIResponse, Page, Route, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import (
    LONG,
    PUSH,
    annotate,
    board,
    correct,
    counts_of,
    open_count,
    phone_of,
    settle,
    shows,
    sync,
    until,
)

pytestmark = pytest.mark.browser


def test_a_lost_answer_makes_no_duplicate(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")
    lost: list[APIResponse] = []

    def lose(route: Route) -> None:
        if lost:
            route.fallback()
            return
        lost.append(route.fetch())
        route.abort("connectionreset")

    phone.context.route(PUSH, lose)
    board(phone.page, 2)
    phone.page.get_by_role("button", name="One more slug").click()
    shows(phone.page, 2, "1")
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    until(home, plot, phone.page, lambda found: len(found) == 2)
    for _ in range(600):  # its answer comes after what it has stored
        if lost:
            break
        phone.page.wait_for_timeout(100)
    assert lost
    sync(phone)
    board_2 = [c["body"] for c in counts_of(home, plot) if c["body"]["observer"] == "Bo"]
    assert [(body["state"], body["count"]) for body in board_2] == [("counted", 1)]


def test_two_corrections_of_one_count_are_both_kept_and_settled_on_one_screen(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    first = phone_of(new_phone, home, plot, "Ada")
    second = phone_of(new_phone, home, plot, "Ada", profile="ada-two")
    shows(first.page, 1, "5")
    shows(second.page, 1, "5")
    for phone in (first, second):
        phone.offline()
    correct(first.page, 9)
    correct(second.page, 7)
    first.offline(False)
    sync(first)
    second.offline(False)
    sync(second)
    kept = counts_of(home, plot)[0]
    assert kept["body"]["count"] == 9
    assert [conflict["set"]["count"] for conflict in kept["conflicts"]] == [7]
    sync(first)
    for phone in (first, second):
        values = phone.page.get_by_role("group", name="Slugs").locator(".side-value")
        expect(values).to_have_text(["9", "7"], timeout=LONG)
        # Whose it is and what had stood there for each, from the server's log.
        sides = phone.page.get_by_role("group", name="Slugs").locator(".side")
        for side in sides.all():
            expect(side).to_contain_text("had seen: 5", timeout=LONG)
            expect(side).to_contain_text(re.compile(r"from .*\d\d:\d\d"))
    settle(second.page, "7")
    sync(second)
    settled = until(home, plot, second.page, lambda found: not found[0]["conflicts"])[0]
    assert settled["body"]["count"] == 7
    sync(first)
    expect(first.page.get_by_role("main")).to_contain_text("Nothing to settle", timeout=LONG)


def test_edits_of_different_fields_merge_without_a_question(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    first = phone_of(new_phone, home, plot, "Bo")
    second = phone_of(new_phone, home, plot, "Cy")
    for phone in (first, second):
        phone.offline()
    correct(first.page, 9)
    annotate(second.page, "under the leaf")
    for phone in (first, second):
        phone.offline(False)
        sync(phone)
    kept = counts_of(home, plot)[0]
    assert (kept["body"]["count"], kept["body"]["note"], kept["conflicts"]) == (9, "under the leaf", [])


def test_two_people_on_one_board_are_a_double_count_and_neither_is_lost(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")
    shows(phone.page, 1, "5")
    board(phone.page, 1)
    phone.page.get_by_role("button", name="One more slug").click()
    phone.page.get_by_role("button", name="One more slug").click()
    shows(phone.page, 1, "two counts")
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    found = until(home, plot, phone.page, lambda counts: sorted(c["body"]["count"] for c in counts) == [2, 5])
    assert {c["body"]["observer"] for c in found} == {"Ada", "Bo"}
    page = phone.go("/sync")
    expect(page.get_by_role("main")).to_contain_text("Board 1 was counted 2 times", timeout=LONG)
    # The number on the screen and the badge below it say the same.
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"(?<!\d)1\s*needs you"), timeout=LONG)
    expect(page.get_by_role("navigation")).to_contain_text("1 record needs you", timeout=LONG)
    settled_otherwise(home, plot, phone)
    kept_and_installed(page)


def settled_otherwise(home: ServerProcess, plot: str, phone: Phone) -> None:
    """Both are kept at first; the diary leads to where one is told to stand after all."""
    page = phone.page
    page.get_by_role("button", name="Can’t tell: keep both").click()
    main = page.get_by_role("main")
    expect(main).to_contain_text("Nothing to settle", timeout=LONG)
    expect(main).to_contain_text("both kept", timeout=LONG)
    expect(page.get_by_role("navigation")).not_to_contain_text("needs you", timeout=LONG)
    open_count(page)
    expect(page.get_by_role("dialog")).to_contain_text("was counted twice", timeout=LONG)
    page.get_by_role("link", name="Change that").click()
    page.get_by_role("button", name="Change", exact=True).click(timeout=LONG)
    five = page.locator("#settled .side").filter(has=page.get_by_text("5", exact=True))
    five.get_by_role("button", name="Keep this one").click()
    expect(page.locator("#settled")).to_contain_text("5 by Ada stands", timeout=LONG)
    sync(phone)
    said = {c["body"]["count"]: c["body"] for c in counts_of(home, plot)}
    assert (said[5]["stands"], said[5]["set_aside"]) == (True, False)
    assert (said[2]["stands"], said[2]["set_aside"]) == (False, True)


def kept_and_installed(page: Page) -> None:
    """Plain words on what the browser may do, and its own offer to install, once it has made one."""
    main = page.get_by_role("main")
    expect(main).to_contain_text("The browser has promised", timeout=LONG)
    expect(main).to_contain_text(re.compile(r"Version [\d.]+, build [0-9a-f]{12}"))
    expect(main).to_contain_text("put on only when you tap Update")
    page.evaluate(
        "dispatchEvent(Object.assign(new Event('beforeinstallprompt'), "
        "{ prompt: async () => { document.title = 'asked to install'; } }))"
    )
    page.get_by_role("button", name="Install Underboard").click()
    expect(page).to_have_title("asked to install")
    page.get_by_role("button", name="Look for a newer one").click()
    expect(main).to_contain_text("This is the newest", timeout=LONG)


@pytest.mark.parametrize("kind", ["html", "redirect", "stranger"])
def test_a_strange_wifi_marks_nothing_as_sent(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone], kind: str
) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")

    def strange(route: Route) -> None:
        if kind == "html":
            route.fulfill(status=200, content_type="text/html", body="<h1>Welcome to our wifi</h1>")
        elif kind == "redirect":
            route.fulfill(status=302, headers={"Location": "http://wifi.example/login"})
        else:
            answer = {
                "app": "underboard",
                "server_id": "somebody-else",
                "protocol": 1,
                "results": [],
                "records": [],
            }
            route.fulfill(status=200, content_type="application/json", body=json.dumps(answer))

    phone.context.route("**/api/**", strange)
    board(phone.page, 2)
    phone.page.get_by_role("button", name="One more slug").click()
    shows(phone.page, 2, "1")
    page = phone.go("/sync")
    page.get_by_role("button", name="Sync now").click(timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"[1-9]\s*only on this phone"), timeout=LONG)
    assert page.get_by_role("alert").count() == 0
    assert len(counts_of(home, plot)) == 1
    phone.context.unroute_all(behavior="wait")  # an answer may be half made
    sync(phone)
    assert len(counts_of(home, plot)) == 2


def test_a_removed_phone_keeps_everything_and_says_so(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")
    for device in home.here("devices", "--plot", plot)["devices"]:
        home.here("devices", "--plot", plot, "--revoke", device["id"])
    board(phone.page, 2)
    phone.page.get_by_role("button", name="One more slug").click()
    shows(phone.page, 2, "1")
    page = phone.go("/sync")
    expect(page.get_by_role("main")).to_contain_text(
        "The server does not know this phone any more", timeout=LONG
    )
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"[1-9]\s*only on this phone"), timeout=LONG)
    assert len(counts_of(home, plot)) == 1
