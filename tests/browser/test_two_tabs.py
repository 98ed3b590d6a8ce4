"""Two tabs of one phone: one of them sends at a time, and both show what came of it."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, Request, Route, expect

from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import (
    LONG,
    PUSH,
    bearer,
    board,
    counts_of,
    phone_of,
    push,
    shows,
    start_records,
    sync,
    walk_path,
)
from tests.browser.small_plot import until as until_there

pytestmark = pytest.mark.browser

WAKE = "dispatchEvent(new Event('online'))"
# Who holds the lock that a sync works under, and whether this is this tab; nothing of the app is asked.
HOLDERS = (
    "navigator.locks.query().then(({ held }) => held.filter((one) => one.name === 'underboard-sync').length)"
)
OUTBOX = """new Promise((done, fail) => {
  const opening = indexedDB.open('underboard');
  opening.onerror = () => fail(opening.error);
  opening.onsuccess = () => {
    const db = opening.result;
    const count = db.transaction('outbox').objectStore('outbox').count();
    count.onsuccess = () => { db.close(); done(count.result); };
  };
})"""


def third_board(home: ServerProcess, plot: str) -> None:
    board_2 = start_records(plot)[3]
    assert board_2["set"]["label"] == "Board 2"
    more = {**board_2["set"], "label": "Board 3", "walk_order": 3}
    push(home, bearer(home, plot), plot, [{**board_2, "id": f"{board_2['id'][:-1]}3", "set": more}])


def tap(page: Page, number: int, now: str) -> None:
    board(page, number)
    page.get_by_role("button", name="One more slug").click()
    shows(page, number, now)


class Traffic:
    """Holds back pushes until they are let go, and notes what was asked for meanwhile."""

    def __init__(self, phone: Phone) -> None:
        self.held: list[Route] = []
        self.asked: list[str] = []
        self.free = False
        phone.context.on("request", self.note)
        phone.context.route(PUSH, self.hold)

    def note(self, request: Request) -> None:
        if "/api/v1/sync/" in request.url or request.url.endswith("/hello"):
            self.asked.append(request.url)

    def hold(self, route: Route) -> None:
        if self.free:
            route.fallback()
        else:
            self.held.append(route)

    def wait(self, page: Page) -> list[Route]:
        for _ in range(300):
            if self.held:
                break
            page.wait_for_timeout(100)
        return self.held

    def let_go(self) -> None:
        self.free = True
        for route in self.held:
            route.continue_()


def test_two_tabs_send_one_after_the_other_and_what_was_typed_in_each_is_stored_once(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    third_board(home, plot)
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    first = phone.go(walk_path(plot))
    shows(first, 3, "not turned yet")
    second = phone.context.new_page()
    second.on("pageerror", lambda error: phone.errors.append(str(error)))
    second.goto(home.url + walk_path(plot), wait_until="domcontentloaded")
    shows(second, 3, "not turned yet")

    traffic = Traffic(phone)
    tap(first, 2, "1")
    first.evaluate(WAKE)
    (one,) = traffic.wait(first)
    # One tab is at it. The other one counts on, and is told to sync by whatever may tell it.
    sender = one.request.frame.page
    other = second if sender == first else first
    shows(other, 2, "1")
    before = len(traffic.asked)
    tap(other, 3, "1")
    tap(other, 2, "2")
    for _ in range(3):
        other.evaluate(WAKE)
        assert other.evaluate(HOLDERS) == 1
    other.wait_for_timeout(2_500)  # longer than a save waits for its sync
    assert traffic.asked[before:] == []
    assert other.evaluate(OUTBOX) == 3
    for page in (first, second):
        shows(page, 2, "2")
        shows(page, 3, "1")

    # Its answer comes: what was counted meanwhile goes out too, whichever tab takes it, and each once.
    traffic.let_go()
    found = until_there(home, plot, first, lambda counts: sorted(map(number, counts)) == [1, 2, 5])
    assert [count["conflicts"] for count in found] == [[], [], []]
    for page in (first, second):
        until(page, f"{OUTBOX}.then((left) => left === 0)", timeout=LONG)
        shows(page, 2, "2")
        shows(page, 3, "1")
    both_wake(first, second, traffic)
    assert sorted(map(number, counts_of(home, plot))) == [1, 2, 5]
    for page in (first, second):
        page.goto(home.url + "/sync")
        expect(page.get_by_role("main")).to_contain_text(
            re.compile(r"(?<!\d)0only on this phone"), timeout=LONG
        )
    assert phone.errors == []


def number(count: dict[str, dict[str, int]]) -> int:
    return count["body"]["count"]


def both_wake(first: Page, second: Page, traffic: Traffic) -> None:
    """With nothing to send."""
    pushes = [url for url in traffic.asked if url.endswith("/push")]
    for page in (first, second):
        page.evaluate(WAKE)
    first.wait_for_timeout(500)
    assert [url for url in traffic.asked if url.endswith("/push")] == pushes
