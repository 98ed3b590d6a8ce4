"""Boards without a plain number: spoiled, not turned, counted twice. None of them is a nought."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, board, phone_of, shows, sync, until, walk_path

pytestmark = pytest.mark.browser
Make = Callable[..., Phone]


def test_a_spoiled_board_says_why_and_stays_out_of_mean_and_total(
    home: ServerProcess, plot: str, new_phone: Make
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    page = phone.page
    phone.offline()
    board(page, 2)
    page.get_by_role("button", name="Could not turn", exact=True).click()
    why = page.get_by_role("dialog", name="Why no number for Board 2?")
    for words in ("Under water", "Crop in the way"):
        box = why.get_by_role("button", name=words).bounding_box()
        assert box and box["height"] >= 48 and box["width"] >= 150, box  # a wet glove
    why.get_by_role("button", name="Under water").click()
    shows(page, 2, "spoiled")
    head = page.get_by_role("banner").or_(page.locator(".round-head"))
    expect(head.first).to_contain_text("2 of 2 boards")
    expect(head.first).to_contain_text("5.0 a board")  # the five slugs of Board 1, on one board
    board(page, 2)
    expect(page.get_by_role("region", name="Board 2", exact=True)).to_contain_text("Under water")
    page.get_by_role("button", name="To the end").click()
    end = page.get_by_role("dialog", name="End of the round")
    expect(end).to_contain_text("5 slugs on 1 board")
    expect(end).to_contain_text("1 board not turned or spoiled")
    page.get_by_role("button", name="Back to the boards").click()

    phone.offline(False)
    sync(phone)
    found = until(home, plot, page, lambda counts: len(counts) == 2)
    spoiled = next(c["body"] for c in found if c["body"]["state"] != "counted")
    assert (spoiled["state"], spoiled["reason"], spoiled.get("count")) == ("spoiled", "Under water", None)
    pressure = home.call("GET", f"/api/v1/plots/{plot}/findings/slugs", headers=bearer(home, plot))
    (walk,) = pressure["rounds"]
    assert (walk["n_boards"], walk["total"], walk["mean"]) == (1, 5, 5.0)
    assert (walk["spoiled"], walk["not_turned"]) == (1, 0)

    # Somebody could look after all: the number replaces the reason.
    phone.go(walk_path(plot))
    board(page, 2)
    page.get_by_role("button", name="One more slug").click()
    shows(page, 2, "1")
    sync(phone)
    found = until(home, plot, page, lambda counts: all(c["body"]["state"] == "counted" for c in counts))
    assert sorted(c["body"]["count"] for c in found) == [1, 5]
    assert all(c["body"].get("reason") is None for c in found)


def test_two_counts_that_are_kept_ask_nothing_more(home: ServerProcess, plot: str, new_phone: Make) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")
    page = phone.page
    board(page, 1)
    page.get_by_role("button", name="One more slug").click()
    shows(page, 1, "two counts")
    sync(phone)
    main, bar = page.get_by_role("main"), page.get_by_role("navigation")
    expect(bar).to_contain_text("1 record needs you", timeout=LONG)
    expect(main).to_contain_text("Board 1 was counted 2 times")
    expect(main).to_contain_text("left out of this round’s mean, and you are not asked again")
    page.get_by_role("button", name="Can’t tell: keep both").click()
    expect(main).to_contain_text("Nothing to settle", timeout=LONG)
    expect(main).to_contain_text(re.compile(r"(?<!\d)0\s*need you"), timeout=LONG)
    expect(bar).not_to_contain_text("needs you", timeout=LONG)
    sync(phone)
    found = until(home, plot, page, lambda counts: all(c["body"].get("stands") for c in counts))
    assert sorted(c["body"]["count"] for c in found) == [1, 5]

    # It is asked on no other screen either, nor after the app was opened again.
    phone.go("/")
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    page.wait_for_timeout(1500)  # doubles are looked for a moment after the first picture
    expect(bar).not_to_contain_text("needs you")
    phone.go(walk_path(plot))
    shows(page, 1, "both kept")
    page.get_by_role("button", name="Finish", exact=True).click()
    end = page.get_by_role("dialog", name="End of the round")
    expect(end).to_contain_text("1 board counted twice, both kept: left out of the mean")
    expect(end).not_to_contain_text("settle")
    expect(end).to_contain_text("0 slugs on 0 boards")
    pressure = home.call("GET", f"/api/v1/plots/{plot}/findings/slugs", headers=bearer(home, plot))
    assert (pressure["rounds"][0]["mean"], pressure["rounds"][0]["worst_total"]) == (None, 5)
