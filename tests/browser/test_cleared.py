"""A phone whose storage the system has emptied, or its person: it notices, says so, and comes back to the plot.

What had reached the server is there again, once; what had not is lost, which is said.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.accessible import faults_of
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, board, counts_of, phone_of, shows, sync, until, walk_path

pytestmark = pytest.mark.browser
# What a system takes when it needs room, or after weeks without use; cookies and the local marks stay.
EVICTED = "indexeddb,cache_storage,service_workers"


def counted(make: Callable[..., Phone], home: ServerProcess, plot: str) -> Phone:
    """Bo's phone: one slug on Board 2 is on the server, another one is not."""
    phone = phone_of(make, home, plot, "Bo")
    tap(phone.page, "1")
    sync(phone)
    phone.offline()
    phone.go(walk_path(plot))
    tap(phone.page, "2")
    phone.page.goto("about:blank")  # closed before it was home
    phone.offline(False)
    return phone


def tap(page: Page, now: str) -> None:
    board(page, 2)
    page.get_by_role("button", name="One more slug").click()
    shows(page, 2, now)


def clear(phone: Phone, home: ServerProcess, what: str) -> None:
    cdp = phone.context.new_cdp_session(phone.page)
    cdp.send("Storage.clearDataForOrigin", {"origin": home.url, "storageTypes": what})


def told(page: Page) -> Locator:
    return page.get_by_role("alert").filter(has_text="The phone’s storage was emptied by the system")


def goes_on(phone: Phone, home: ServerProcess, plot: str) -> None:
    """All that was synced is there, and the same count goes on; nothing is there twice."""
    page = phone.go(walk_path(plot))
    shows(page, 1, "5")
    shows(page, 2, "1")
    tap(page, "2")
    sync(phone)
    found = until(home, plot, page, lambda counts: any(one["body"]["count"] == 2 for one in counts))
    said = sorted((one["body"]["observer"], one["body"]["count"], one["conflicts"]) for one in found)
    assert said == [("Ada", 5, []), ("Bo", 2, [])]
    phone.go(walk_path(plot))
    shows(page, 2, "2")
    assert phone.errors == []


def test_a_phone_that_was_emptied_goes_on_by_its_cookie_and_says_what_happened(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = counted(new_phone, home, plot)
    phone.page.emulate_media(reduced_motion="reduce")  # colours are measured when they have come to rest
    clear(phone, home, EVICTED)
    # Away from home the mark that it was paired tells; at home the server does.
    phone.context.route("**/api/**", lambda route: route.abort())
    expect(told(phone.go("/"))).to_contain_text("what had not is lost", timeout=LONG)
    phone.context.unroute_all(behavior="wait")
    page = phone.go("/")
    expect(told(page)).to_be_visible(timeout=LONG)
    expect(page.get_by_role("link", name="Go on with the round")).to_be_visible(timeout=LONG)
    assert faults_of(page, "Now of an emptied phone") == []
    told(page).get_by_role("button", name="I have read it").click()
    expect(told(page)).to_have_count(0)
    goes_on(phone, home, plot)


@pytest.mark.parametrize("what", [f"{EVICTED},cookies", "all"])
def test_a_phone_that_lost_its_cookie_too_is_paired_again_and_has_everything_once(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone], what: str
) -> None:
    phone = counted(new_phone, home, plot)
    clear(phone, home, what)
    page = phone.go("/")
    expect(page.get_by_role("link", name="Begin or join")).to_be_visible(timeout=LONG)
    # With the last mark gone nobody can tell it from a new phone.
    expect(told(page)).to_have_count(0 if what == "all" else 1, timeout=LONG)
    page = phone.go(f"/#pair={home.code_for(plot)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    if what == "all":
        page.get_by_label("Your name").fill("Bo", timeout=LONG)
        page.get_by_role("button", name="Next").click()
    else:
        page.get_by_role("link", name="To the first morning").click(timeout=LONG)
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    goes_on(phone, home, plot)
    assert len(counts_of(home, plot)) == 2
