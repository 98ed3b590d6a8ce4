"""Files out and in on the phone: a table saved, a notebook read, corrected, brought in and taken back."""

from __future__ import annotations

import csv
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import APIResponse, FilePayload, Page, Route, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, counts_of, phone_of, push

pytestmark = pytest.mark.browser
NOTEBOOK = "when,nr,beasts\n2025-05-03,Board 1,7\n2025-05-04,Board 9,2\n"


def next_look_is_late(page: Page) -> Callable[[], None]:
    """Keep the next question for a look at the file back until the answer of this function is called."""
    held: list[Route] = []

    def one(route: Route) -> None:
        if held:
            route.continue_()
        else:
            held.append(route)

    page.route("**/imports/preview*", one)

    def go_on() -> None:
        with page.expect_response("**/imports/preview*", timeout=LONG) as answer:
            held[0].continue_()
        answer.value.finished()
        page.evaluate(
            "new Promise((done) => setTimeout(done, 200))"
        )  # whatever it does to the screen is done

    return go_on


def first_list_is_late(page: Page) -> Callable[[], None]:
    """Keep the first answer about what was brought in back, as it was, until this function is called."""
    held: list[tuple[Route, APIResponse]] = []

    def one(route: Route) -> None:
        if held or route.request.method != "GET":
            route.continue_()
        else:
            held.append((route, route.fetch()))

    page.route("**/imports", one)

    def go_on() -> None:
        ((route, answer),) = held
        with page.expect_response(lambda response: response.request == route.request, timeout=LONG) as come:
            route.fulfill(response=answer)
        come.value.finished()
        page.evaluate("new Promise((done) => setTimeout(done, 200))")

    return go_on


def test_a_table_goes_out_and_a_notebook_comes_in_and_back(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    page = phone.go("/sync")
    late_list = first_list_is_late(page)
    page.get_by_role("link", name="Files and reports").click(timeout=LONG)
    main = page.get_by_role("main")
    with page.expect_download(timeout=LONG) as saved:
        page.get_by_role("button", name="Every number, as CSV").click(timeout=LONG)
    assert saved.value.suggested_filename.startswith("two-boards-observations-")
    with Path(saved.value.path()).open(encoding="utf-8-sig", newline="") as table:
        rows = list(csv.DictReader(table))
    assert [(row["station"], row["value"], row["unit"]) for row in rows] == [("Board 1", "5", "slugs")]
    with page.expect_download(timeout=LONG) as paper:
        page.get_by_role("button", name="Report of the week").click(timeout=LONG)
    assert Path(paper.value.path()).read_bytes().startswith(b"%PDF-")
    year = page.get_by_label("Which year")
    this_year = str(datetime.now(ZoneInfo("Europe/London")).year)
    expect(year.locator("option")).to_have_text([this_year])
    page.get_by_role("button", name="For a map").click()
    expect(page.get_by_role("alert")).to_contain_text("latitude", timeout=LONG)

    file = FilePayload(name="old.csv", mimeType="text/csv", buffer=NOTEBOOK.encode())
    page.get_by_label("Choose a file", exact=True).and_(page.locator("input")).set_input_files(
        file, timeout=LONG
    )
    expect(main).to_contain_text("Nothing in it is new", timeout=LONG)  # no column was known for a number
    late = next_look_is_late(page)
    page.get_by_label("Column “nr” is").select_option(label="the station")
    page.get_by_label("Column “beasts” is").select_option(label="slugs")
    expect(main).to_contain_text("1 × Slug count", timeout=LONG)
    late()  # what is known of one column alone: it is of no more use
    expect(main).to_contain_text("1 × Slug count")
    expect(page.get_by_label("Column “beasts” is").locator("option:checked")).to_have_text("slugs")
    expect(main).to_contain_text("Row 3:")
    expect(main).to_contain_text("Board 9")
    page.get_by_role("button", name="Bring it in").click()
    expect(main).to_contain_text("Brought in:", timeout=LONG)
    expect(year.locator("option")).to_have_text(
        [this_year, "2025"], timeout=LONG
    )  # a report of it can be asked for

    def old() -> list[dict[str, Any]]:
        return [one for one in counts_of(home, plot) if one["body"]["observed_at"] < "2026"]

    (count,) = old()
    assert count["body"]["count"] == 7
    # Somebody corrects it meanwhile: it stays with its round, and the screen says why and where to go on.
    push(home, bearer(home, plot), plot, [{"id": count["id"], "base_rev": 1, "set": {"count": 8}}])
    take_back = page.get_by_role("button", name="Take 2 records back")
    expect(take_back).to_be_visible(timeout=LONG)
    late_list()  # nothing had been brought in when it was asked for
    expect(take_back).to_be_visible()
    take_back.click()
    expect(main).to_contain_text("1 record was taken back, 2 stayed", timeout=LONG)
    expect(main).to_contain_text("1 was changed by somebody since")
    expect(main).to_contain_text("1 is needed by those that stay")
    expect(main.get_by_role("link", name="To the diary")).to_be_visible()
    assert [one["body"]["count"] for one in old()] == [8]
