"""Records of a phone that does not come home travel as a file, through another phone, and are stored once."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import FilePayload, Page, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import (
    LONG,
    bearer,
    board,
    counts_of,
    phone_of,
    shows,
    sync,
    until,
    walk_path,
)

pytestmark = pytest.mark.browser


def count_board_2(phone: Phone, slugs: int) -> None:
    board(phone.page, 2)
    for n in range(1, slugs + 1):
        phone.page.get_by_role("button", name="One more slug").click()
        shows(phone.page, 2, str(n))


def written_file(phone: Phone) -> str:
    """Save the file as a person does, and read what landed on the disk."""
    page = phone.go("/sync")
    with page.expect_download(timeout=LONG) as saved:
        page.get_by_role("button", name="Save the file").click(timeout=LONG)
    assert saved.value.suggested_filename.startswith("underboard-unsent-")
    return Path(saved.value.path()).read_text("utf-8")


def choose(phone: Phone, text: str) -> Page:
    page = phone.go("/sync")
    chosen = FilePayload(name="unsent.json", mimeType="application/json", buffer=text.encode())
    page.get_by_label("Choose the file", exact=True).and_(page.locator("input")).set_input_files(
        chosen, timeout=LONG
    )
    return page


def test_unsent_records_come_home_by_another_phone_and_are_stored_once(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    away = phone_of(new_phone, home, plot, "Bo")
    away.offline()
    count_board_2(away, 3)
    text = written_file(away)
    # Counted on after the file was made: this goes its own way, later.
    away.go(walk_path(plot))
    board(away.page, 2)
    away.page.get_by_role("button", name="One more slug").click()
    shows(away.page, 2, "4")

    carrier = phone_of(new_phone, home, plot, "Ada")
    carrier.offline()
    page = choose(carrier, text)
    main = page.get_by_role("main")
    expect(main).to_contain_text("In this file", timeout=LONG)
    expect(main).to_contain_text("1 × Slug count")
    expect(main).to_contain_text("Bo")
    assert len(counts_of(home, plot)) == 1
    page.get_by_role("button", name="Take them in").click()
    expect(main).to_contain_text("1 change taken in", timeout=LONG)
    # On the round of this phone at once, still with no network; a second time there is nothing new in it.
    page = choose(carrier, text)
    expect(page.get_by_role("main")).to_contain_text(
        "1 change in it this phone has had already", timeout=LONG
    )
    carrier.go(walk_path(plot))
    shows(carrier.page, 2, "3")
    carrier.offline(False)
    sync(carrier)
    found = until(home, plot, carrier.page, lambda counts: len(counts) == 2)
    assert {c["body"]["observer"]: c["body"]["count"] for c in found} == {"Ada": 5, "Bo": 3}

    away.offline(False)
    sync(away)
    found = until(home, plot, away.page, lambda counts: any(c["body"]["count"] == 4 for c in counts))
    assert {c["body"]["observer"]: c["body"]["count"] for c in found} == {"Ada": 5, "Bo": 4}
    assert [c["conflicts"] for c in found] == [[], []]
    records = home.records(plot, bearer(home, plot))
    assert len([r for r in records if r["type"] == "slug_count"]) == 2


def test_files_that_are_not_whole_or_not_ours_are_refused_in_plain_words(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    away = phone_of(new_phone, home, plot, "Bo")
    away.offline()
    count_board_2(away, 1)
    text = written_file(away)
    elsewhere = json.dumps({**json.loads(text), "plot_id": "0193e2a4", "plot_name": "Hill"})
    for file, words in (
        (elsewhere, "belongs to another plot: Hill"),
        (text[: len(text) * 2 // 3], "ends too early"),
        ("<html>", "no file of unsent records"),
        (text.replace('"count":1', '"count":9'), "changed or damaged on its way"),
    ):
        page = choose(away, file)
        expect(page.get_by_role("alert")).to_contain_text(words, timeout=LONG)
        assert page.get_by_role("button", name="Take them in").count() == 0
    away.go(walk_path(plot))
    shows(away.page, 2, "1")
