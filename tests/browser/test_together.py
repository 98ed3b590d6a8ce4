"""Two phones and a network that cannot be trusted: nothing doubled, nothing overwritten, nothing falsely sent."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess

pytestmark = pytest.mark.browser
LONG = 60_000
PUSH = "**/api/v1/sync/push"


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServerProcess]:
    """One server for this file; each test has a plot of its own."""
    data = tmp_path_factory.mktemp("data")
    process = ServerProcess(data).start()
    yield process
    process.stop()


@pytest.fixture
def plot(server: ServerProcess) -> str:
    """A small plot with two boards and today's round, written as a script would."""
    code = server.run("pair", "--new-plot", "--show-code")["code"]
    body = json.dumps({"code": code, "device_name": "script", "want": "token"}).encode()
    paired = server.call("POST", "/api/v1/pair", body=body)
    plot_id = str(paired["plot_id"])
    headers = {"Authorization": f"Bearer {paired['token']}"}
    push(server, headers, plot_id, start_records(plot_id))
    return plot_id


def start_records(plot_id: str) -> list[dict[str, Any]]:
    at = datetime.now(ZoneInfo("Europe/London")).isoformat(timespec="seconds")
    stem = f"01890000-0000-7000-8000-{plot_id[-12:-2]}"
    place, walk = f"{stem}a0", f"{stem}b0"
    boards = [f"01890000-0000-7000-8000-{plot_id[-12:-2]}c{n}" for n in (1, 2)]
    station = {"kind": "slug_board", "place_id": place}
    return [
        {"type": "plot", "id": plot_id, "set": {"name": "Two boards", "time_zone": "Europe/London"}},
        {"type": "place", "id": place, "set": {"kind": "bed", "label": "Bed", "length_m": 2, "width_m": 1}},
        *(
            {"type": "station", "id": board, "set": {**station, "label": f"Board {n}", "walk_order": n}}
            for n, board in enumerate(boards, start=1)
        ),
        {"type": "round", "id": walk, "set": {"kind": "dawn", "observed_at": at, "started_at": at, "observer": "Ada"}},
        {"type": "slug_count", "id": walk[:-2] + "d1",
         "set": {"round_id": walk, "station_id": boards[0], "state": "counted", "count": 5, "observed_at": at,
                 "observer": "Ada"}},
    ]  # fmt: skip


def push(server: ServerProcess, headers: dict[str, str], plot_id: str, records: list[dict[str, Any]]) -> None:
    ops = [{"op_id": str(uuid.uuid4()), "kind": "put", "base_rev": 0, **record} for record in records]
    epoch = server.call("GET", f"/api/v1/sync/pull?plot={plot_id}", headers=headers)["epoch"]
    frame = {"protocol": 1, "schema": 1, "plot": plot_id, "epoch": epoch, "sent_at": "2026-05-03T05:30:00Z"}
    answer = server.call("POST", "/api/v1/sync/push", json.dumps({**frame, "ops": ops}).encode(), headers)
    assert {result["status"] for result in answer["results"]} == {"applied"}, answer


def walk_path(plot_id: str) -> str:
    return f"/round/01890000-0000-7000-8000-{plot_id[-12:-2]}b0"


def counts_of(server: ServerProcess, plot_id: str) -> list[dict[str, Any]]:
    records = server.records(plot_id, server.bearer(plot_id))
    return [r for r in records if r["type"] == "slug_count" and not r["deleted"]]


def phone_of(make: Callable[..., Phone], server: ServerProcess, plot_id: str, who: str) -> Phone:
    """Join, give the name, open the round."""
    phone = make(server.url, who)
    page = phone.go(f"/#pair={server.code_for(plot_id)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill(who, timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    phone.go(walk_path(plot_id))
    expect(page.get_by_role("button", name="One more slug")).to_be_visible(timeout=LONG)
    return phone


def board(page: Page, number: int) -> None:
    page.get_by_label("Boards in walking order").get_by_text(f"Board {number}", exact=True).click()
    expect(page.get_by_role("region", name=f"Board {number}", exact=True)).to_be_visible()


def shows(page: Page, number: int, words: str) -> None:
    plank = page.get_by_label("Boards in walking order").get_by_role(
        "button", name=re.compile(rf"Board {number}\b")
    )
    expect(plank).to_contain_text(words, timeout=LONG)


def sync(phone: Phone) -> None:
    """Wake the sync as coming home does, and wait until nothing is left on the phone."""
    page = phone.go("/sync")
    page.get_by_role("button", name="Sync now").click(timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"0\s*only on this phone"), timeout=LONG)


def until(
    server: ServerProcess, plot_id: str, page: Page, enough: Callable[[list[dict[str, Any]]], bool]
) -> Any:
    for _ in range(80):
        found = counts_of(server, plot_id)
        if enough(found):
            return found
        page.wait_for_timeout(400)
    raise AssertionError(found)


def test_a_lost_answer_makes_no_duplicate(
    server: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, server, plot, "Bo")
    lost = []

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
    until(server, plot, phone.page, lambda found: len(found) == 2)
    assert lost
    sync(phone)
    board_2 = [c["body"] for c in counts_of(server, plot) if c["body"]["observer"] == "Bo"]
    assert [(body["state"], body["count"]) for body in board_2] == [("counted", 1)]


def test_two_corrections_of_one_count_are_both_kept_and_settled_on_one_screen(
    server: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    first = phone_of(new_phone, server, plot, "Ada")
    second = new_phone(server.url, "ada-two")
    page = second.go(f"/#pair={server.code_for(plot)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill("Ada", timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    second.go("/diary")
    second.go(walk_path(plot))
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
    kept = counts_of(server, plot)[0]
    assert kept["body"]["count"] == 9
    assert [conflict["set"]["count"] for conflict in kept["conflicts"]] == [7]
    sync(first)
    for phone in (first, second):
        values = phone.page.get_by_role("group", name="Slugs").locator(".side-value")
        expect(values).to_have_text(["9", "7"], timeout=LONG)
    settle(second.page, "7")
    sync(second)
    settled = until(server, plot, second.page, lambda found: not found[0]["conflicts"])[0]
    assert settled["body"]["count"] == 7
    sync(first)
    expect(first.page.get_by_role("main")).to_contain_text("Nothing to settle", timeout=LONG)


def settle(page: Page, count: str) -> None:
    """Take one of the values that stand side by side; nothing is chosen before that."""
    sides = page.get_by_role("group", name="Slugs").locator(".side")
    expect(sides).to_have_count(2, timeout=LONG)
    side = sides.filter(has=page.get_by_text(re.compile(rf"^{count}$")))
    side.get_by_role("button", name="Take this").click()
    page.get_by_role("button", name="Settle", exact=True).click()


def test_edits_of_different_fields_merge_without_a_question(
    server: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    first = phone_of(new_phone, server, plot, "Bo")
    second = phone_of(new_phone, server, plot, "Cy")
    for phone in (first, second):
        phone.offline()
    correct(first.page, 9)
    annotate(second.page, "under the leaf")
    for phone in (first, second):
        phone.offline(False)
        sync(phone)
    kept = counts_of(server, plot)[0]
    assert (kept["body"]["count"], kept["body"]["note"], kept["conflicts"]) == (9, "under the leaf", [])


def annotate(page: Page, words: str) -> None:
    """Write a note on the count of Board 1 in the diary."""
    open_count(page)
    page.get_by_label("Note", exact=True).last.fill(words)
    page.get_by_role("button", name=re.compile("^Save", re.IGNORECASE)).first.click()


def open_count(page: Page) -> None:
    """Open the count of Board 1 from the diary."""
    page.evaluate("location.assign('/diary')")
    page.get_by_role("button", name=re.compile("Dawn round")).first.click(timeout=LONG)
    page.get_by_text("Boards of this round").click()
    page.get_by_role("button", name=re.compile("Board 1")).first.click()


def correct(page: Page, count: int) -> None:
    """Correct the count of Board 1 to another number."""
    open_count(page)
    page.get_by_label("Slugs", exact=True).fill(str(count))
    page.get_by_role("button", name=re.compile("^Save", re.IGNORECASE)).first.click()


def test_two_people_on_one_board_are_a_double_count_and_neither_is_lost(
    server: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, server, plot, "Bo")
    shows(phone.page, 1, "5")
    board(phone.page, 1)
    phone.page.get_by_role("button", name="One more slug").click()
    phone.page.get_by_role("button", name="One more slug").click()
    shows(phone.page, 1, "two counts")
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    found = until(
        server, plot, phone.page, lambda counts: sorted(c["body"]["count"] for c in counts) == [2, 5]
    )
    assert {c["body"]["observer"] for c in found} == {"Ada", "Bo"}
    page = phone.go("/sync")
    expect(page.get_by_role("main")).to_contain_text("Board 1 was counted 2 times", timeout=LONG)
    # The number on the screen and the badge below it say the same.
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"1\s*needs you"), timeout=LONG)
    expect(page.get_by_role("navigation")).to_contain_text("1 record needs you", timeout=LONG)


@pytest.mark.parametrize("kind", ["html", "redirect", "stranger"])
def test_a_strange_wifi_marks_nothing_as_sent(
    server: ServerProcess, plot: str, new_phone: Callable[..., Phone], kind: str
) -> None:
    phone = phone_of(new_phone, server, plot, "Bo")

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
    assert len(counts_of(server, plot)) == 1
    phone.context.unroute("**/api/**")
    sync(phone)
    assert len(counts_of(server, plot)) == 2


def test_a_removed_phone_keeps_everything_and_says_so(
    server: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, server, plot, "Bo")
    for device in server.run("devices", "--plot", plot)["devices"]:
        server.run("devices", "--plot", plot, "--revoke", device["id"])
    board(phone.page, 2)
    phone.page.get_by_role("button", name="One more slug").click()
    shows(phone.page, 2, "1")
    page = phone.go("/sync")
    expect(page.get_by_role("main")).to_contain_text(re.compile("pair", re.IGNORECASE), timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"[1-9]\s*only on this phone"), timeout=LONG)
    assert len(counts_of(server, plot)) == 1
