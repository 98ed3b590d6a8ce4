"""From the printed code to the first finding, as somebody does it who has never seen the app: counted in steps of a
human pace, with no signal on the plot, and home again at the end."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG
from tests.browser.warned import ALL_SENT

pytestmark = pytest.mark.browser

# One tap, one field or one look around for where to go next. Four seconds each is slow for a tap and fair for a form
# (Card, Moran & Newell 1980, Comm. ACM 23:396: 1.35 s to think, 1.1 s to point, 0.2 s a key: ten letters take 4.5 s).
STEP_S = 4
AT_MOST_S = 5 * 60


class Hand:
    """Does what a person does, and counts it."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.steps = 0

    def tap(self, target: Locator, times: int = 1) -> None:
        for _ in range(times):
            target.click(timeout=LONG)
            self.steps += 1

    def button(self, name: str, times: int = 1) -> None:
        self.tap(self.page.get_by_role("button", name=name, exact=True), times)

    def fill(self, label: str, text: str) -> None:
        self.page.get_by_label(label).fill(text, timeout=LONG)
        self.steps += 1

    def sees(self, target: Locator) -> None:
        """Reading what the screen says takes time as well."""
        expect(target).to_be_visible(timeout=LONG)
        self.steps += 1


def test_from_the_code_to_the_first_finding_in_five_minutes(
    server: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    code = server.without_jobs().start().here("pair", "--new-plot", "--show-code")["code"]
    phone = new_phone(server.url, "newcomer")
    page = phone.go(f"/#pair={code}")
    hand = Hand(page)
    hand.sees(page.get_by_role("heading", name="Join your plot"))
    hand.button("Join")
    hand.fill("Your name", "Hana")
    starts_offline(page)

    phone.offline()  # out on the plot
    hand.button("Next")
    hand.fill("Name of the plot", "Windmill strip")
    hand.button("Next")
    hand.button("Bed", times=2)
    hand.button("Next")
    hand.tap(page.get_by_role("button", name=re.compile("^One more board in")).first, times=2)
    hand.tap(page.get_by_role("button", name=re.compile("^One more board in")).last)
    hand.button("Next")
    hand.button("Save the plot")

    hand.sees(page.get_by_role("heading", name="Now", exact=True))
    hand.button("Start the dawn round")
    hand.button("One more slug", times=4)
    ladder = page.get_by_label("Boards in walking order").get_by_role("button")
    hand.sees(ladder.first.get_by_text("4", exact=True))  # said once it is stored
    hand.button("Next board")
    page.reload()  # the phone went into the pocket and dropped the page
    hand.button("None here")
    expect(ladder).to_have_count(3, timeout=LONG)
    expect(ladder.first).to_contain_text("4 slugs", timeout=LONG)
    expect(ladder.nth(1)).to_contain_text("none here", timeout=LONG)
    # The screen goes on by itself.
    expect(page.get_by_role("region", name=re.compile(r"3$"))).to_be_visible(timeout=LONG)
    hand.button("One more slug", times=2)
    hand.button("Finish")
    hand.sees(page.get_by_text("6 slugs on 3 boards"))
    hand.tap(page.get_by_role("radio", name="Damp").locator("xpath=.."))
    hand.button("Finish the round")

    hand.tap(page.get_by_role("link", name="Findings"))
    # 6 slugs on 3 boards: mean 2.0.
    hand.sees(page.get_by_text(re.compile(r"2\.0 slugs a board")).first)
    assert hand.steps * STEP_S <= AT_MOST_S, f"{hand.steps} steps take {hand.steps * STEP_S} s"

    phone.offline(False)  # home again: nothing more to be done than to open it
    page.evaluate("dispatchEvent(new Event('online'))")
    hand.tap(page.get_by_role("link", name=re.compile("^Sync")))
    expect(page.get_by_role("main")).to_contain_text(ALL_SENT, timeout=LONG)
    assert phone.errors == []
