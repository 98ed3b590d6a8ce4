"""A browser without service workers: nothing but the page itself sends, and it sends everything in order."""

from __future__ import annotations

import json
import re
import sqlite3
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, PUSH, board, counts_of, shows, sync, until, walk_path

pytestmark = pytest.mark.browser
EDITS = 30
# The browser library's own stand-in answers with nothing, which no browser does: one that allows no worker refuses.
REFUSED = """Object.defineProperty(navigator.serviceWorker, 'register', {
  value: () => Promise.reject(new DOMException('not allowed here', 'SecurityError')),
});"""


def joined(phone: Phone, home: ServerProcess, plot: str) -> Page:
    page = phone.go(f"/#pair={home.code_for(plot)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill("Bo", timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    return phone.go(walk_path(plot))


def written(home: ServerProcess, record: str) -> list[int]:
    """What the server's log says of a count, in the order in which it was stored."""
    with sqlite3.connect(home.data / "underboard.sqlite3") as database:
        rows = database.execute('SELECT "set" FROM change WHERE record_id = ? ORDER BY rev', (record,))
        return [json.loads(text)["count"] for (text,) in rows]


def test_thirty_edits_outlive_a_reload_and_arrive_in_their_order_without_a_service_worker(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(home.url, "plain", service_workers="block")
    phone.context.add_init_script(REFUSED)
    page = joined(phone, home, plot)
    assert page.evaluate("navigator.serviceWorker?.controller ?? null") is None
    lost: list[Route] = []

    def lose(route: Route) -> None:
        lost.append(route)
        route.abort("connectionreset")

    # Away: the greeting still comes through and what is sent is lost, so that some edits are behind others that have
    # been tried and can be changed no more.
    phone.context.route(PUSH, lose)
    board(page, 2)
    for n in range(1, EDITS + 1):
        page.get_by_role("button", name="One more slug").click()
        if n % 10 == 0:
            shows(page, 2, str(n))
            tries = len(lost)
            page.evaluate("dispatchEvent(new Event('online'))")
            for _ in range(300):
                if len(lost) > tries:
                    break
                page.wait_for_timeout(50)
            assert len(lost) > tries
    assert [count["body"]["count"] for count in counts_of(home, plot)] == [5]
    page.reload()
    board(page, 2)
    shows(page, 2, str(EDITS))
    phone.context.unroute_all(behavior="wait")
    sync(phone)
    found = until(home, plot, page, lambda counts: len(counts) == 2)
    (mine,) = [count for count in found if count["body"]["observer"] == "Bo"]
    assert (mine["body"]["count"], mine["conflicts"]) == (EDITS, [])
    order = written(home, mine["id"])
    assert order == sorted(order) and order[-1] == EDITS and len(order) > 1, order
    assert len(page.evaluate("navigator.serviceWorker?.getRegistrations() ?? []")) == 0
    assert phone.errors == []
