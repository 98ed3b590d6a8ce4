"""Two phones and a network that cannot be trusted: nothing doubled, nothing overwritten, nothing falsely sent."""

from __future__ import annotations

import json
import re
from collections.abc import Callable

import pytest
from playwright.sync_api import APIResponse, Route, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import (
    LONG,
    PUSH,
    annotate,
    board,
    correct,
    counts_of,
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
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"1\s*needs you"), timeout=LONG)
    expect(page.get_by_role("navigation")).to_contain_text("1 record needs you", timeout=LONG)


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
    phone.context.unroute("**/api/**")
    sync(phone)
    assert len(counts_of(home, plot)) == 2


def test_a_removed_phone_keeps_everything_and_says_so(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")
    for device in home.run("devices", "--plot", plot)["devices"]:
        home.run("devices", "--plot", plot, "--revoke", device["id"])
    board(phone.page, 2)
    phone.page.get_by_role("button", name="One more slug").click()
    shows(phone.page, 2, "1")
    page = phone.go("/sync")
    expect(page.get_by_role("main")).to_contain_text(re.compile("pair", re.IGNORECASE), timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"[1-9]\s*only on this phone"), timeout=LONG)
    assert len(counts_of(home, plot)) == 1
