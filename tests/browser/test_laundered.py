"""A phone that learns of another value after it was edited must not pass its edit off as one that knew.

One phone changes a count from an old copy; meanwhile another phone's value reaches it by a pull or by an answer. If
the edit then took the newer copy as its base it would replace, in silence, what its person has never seen.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, Route, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import (
    LONG,
    PULL,
    PUSH,
    annotate,
    correct,
    counts_of,
    open_count,
    phone_of,
    reopen_count,
    save,
    settle,
    sync,
    type_count,
    until,
)

pytestmark = pytest.mark.browser
Make = Callable[..., Phone]


# The phone gives an answer up after half a minute, and on a slow machine Bo needs longer for what he does meanwhile.
PATIENT = """const real = globalThis.setTimeout;
globalThis.setTimeout = (work, ms, ...given) => real(work, ms === 30_000 ? 600_000 : ms, ...given);"""


class Held:
    """Requests of one kind that the network keeps hanging until it is told to let the last one through.

    Of the pages that are opened from now on: they wait for it as long as the test does.
    """

    def __init__(self, phone: Phone, pattern: str) -> None:
        self._phone = phone
        self._pattern = pattern
        self._routes: list[Route] = []
        self._holds = True
        phone.context.add_init_script(PATIENT)
        phone.context.route(pattern, self._hold)

    def _hold(self, route: Route) -> None:
        if self._holds:
            self._routes.append(route)
        else:
            route.fallback()

    def wait(self) -> None:
        for _ in range(300):
            if self._routes:
                return
            self._phone.page.wait_for_timeout(200)
        raise AssertionError(f"no {self._pattern} was asked for")

    def let_through(self, answer: bool = True) -> None:
        """Send what hangs to the server; without an answer the server has it and the phone does not know."""
        self.wait()
        self._holds = False
        route = self._routes[-1]
        came = route.fetch()
        if answer:
            route.fulfill(response=came)
        else:
            route.abort("connectionreset")


@pytest.fixture
def ada(new_phone: Make, home: ServerProcess, plot: str) -> Phone:
    return phone_of(new_phone, home, plot, "Ada")


@pytest.fixture
def bo(new_phone: Make, home: ServerProcess, plot: str) -> Phone:
    return phone_of(new_phone, home, plot, "Bo")


def bo_says(bo: Phone, count: int) -> None:
    correct(bo.page, count)
    sync(bo)


def both_are_reachable_and_one_screen_settles(
    home: ServerProcess, plot: str, ada: Phone, bo: Phone, here: int, mine: int
) -> None:
    """The server keeps Bo's value, Ada's beside it; both phones show both; a choice on one settles it for all."""
    sync(ada)
    (kept,) = counts_of(home, plot)
    assert kept["body"]["count"] == here
    assert [side["set"]["count"] for side in kept["conflicts"] if "count" in side["set"]] == [mine]
    sync(bo)
    for phone in (ada, bo):
        sides = phone.page.get_by_role("group", name="Slugs").locator(".side-value")
        expect(sides).to_have_text([str(here), str(mine)], timeout=LONG)
    settle(ada.page, str(mine))
    sync(ada)
    settled = until(home, plot, ada.page, lambda found: not found[0]["conflicts"])[0]
    assert settled["body"]["count"] == mine
    sync(bo)
    expect(bo.page.get_by_role("main")).to_contain_text("Nothing to settle", timeout=LONG)


def test_the_other_value_arrives_while_mine_waits_and_i_edit_on(
    home: ServerProcess, plot: str, ada: Phone, bo: Phone
) -> None:
    pull, push = Held(ada, PULL), Held(ada, PUSH)
    open_count(ada.page)
    pull.wait()
    bo_says(bo, 9)
    type_count(ada.page, 7)  # over the 5, the only value that this phone knows
    pull.let_through()
    entry = ada.page.get_by_role("button", name="Dawn round")
    expect(entry).to_contain_text("changed by somebody meanwhile", timeout=LONG)
    reopen_count(ada.page)
    expect(ada.page.get_by_label("Slugs", exact=True)).to_have_value("7")
    ada.page.get_by_label("Note", exact=True).last.fill("under the leaf")
    save(ada.page)
    push.let_through()
    both_are_reachable_and_one_screen_settles(home, plot, ada, bo, here=9, mine=7)


def test_the_answer_to_an_earlier_note_brings_the_other_value(
    home: ServerProcess, plot: str, ada: Phone, bo: Phone
) -> None:
    push = Held(ada, PUSH)
    annotate(ada.page, "under the leaf")
    push.wait()  # the note is on its way and its bytes are fixed
    bo_says(bo, 9)
    reopen_count(ada.page)
    type_count(ada.page, 7)
    push.let_through()  # merged with the 9, which Ada's phone now knows of
    both_are_reachable_and_one_screen_settles(home, plot, ada, bo, here=9, mine=7)
    assert counts_of(home, plot)[0]["body"]["note"] == "under the leaf"


def test_the_answer_that_says_conflict_is_lost(home: ServerProcess, plot: str, ada: Phone, bo: Phone) -> None:
    held = Held(ada, PUSH)
    bo_says(bo, 9)
    ada.offline()
    correct(ada.page, 7)
    ada.offline(False)
    ada.page.evaluate("dispatchEvent(new Event('online'))")
    held.wait()
    held.let_through(answer=False)
    until(home, plot, ada.page, lambda found: len(found[0]["conflicts"]) == 1)
    both_are_reachable_and_one_screen_settles(home, plot, ada, bo, here=9, mine=7)


def test_an_answer_lost_then_another_edit_then_the_repeat(
    home: ServerProcess, plot: str, ada: Phone, bo: Phone
) -> None:
    """Ada's 7 is known before Bo makes it 9: her phone's second try is a repeat and no new edit."""
    held = Held(ada, PUSH)
    correct(ada.page, 7)
    held.wait()
    held.let_through(answer=False)
    until(home, plot, ada.page, lambda found: found[0]["body"]["count"] == 7)
    ada.offline()
    sync(bo)
    expect_count(bo.page, "7")
    bo_says(bo, 9)
    ada.offline(False)
    sync(ada)
    (kept,) = counts_of(home, plot)
    assert (kept["body"]["count"], kept["conflicts"]) == (9, [])
    expect(ada.page.get_by_role("main")).to_contain_text("Nothing to settle", timeout=LONG)
    expect_count(ada.page, "9")


def expect_count(page: Page, count: str) -> None:
    open_count(page)
    expect(page.get_by_label("Slugs", exact=True)).to_have_value(count)
