"""What the server will not take stays on the phone with its reason, and holds up nothing else."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import (
    LONG,
    annotate,
    board,
    counts_of,
    open_count,
    phone_of,
    save,
    shows,
    sync,
    until,
    walk_path,
)

pytestmark = pytest.mark.browser
TOO_LONG = "wet " * 1_100  # notes have 4,000 characters


def test_one_bad_entry_is_shown_with_its_field_and_the_others_land(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Bo")
    page = phone.page
    phone.offline()
    annotate(page, TOO_LONG)
    phone.go(walk_path(plot))
    board(page, 2)
    page.get_by_role("button", name="One more slug").click()
    shows(page, 2, "1")
    phone.offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    found = until(home, plot, page, lambda counts: len(counts) == 2)
    assert sorted((c["body"]["count"], c["body"].get("note")) for c in found) == [(1, None), (5, None)]

    phone.go("/sync")
    main = page.get_by_role("main")
    expect(main).to_contain_text("the server will not take it", timeout=LONG)
    expect(main.get_by_role("listitem").filter(has_text="Note")).to_contain_text("4000")
    expect(main).to_contain_text(re.compile(r"(?<!\d)1\s*only on this phone"), timeout=LONG)
    expect(main).to_contain_text(re.compile(r"(?<!\d)1\s*needs you"), timeout=LONG)

    # Nothing was lost: the words are still there, are mended in the diary, and then they land.
    open_count(page)
    note = page.get_by_label("Note", exact=True).last
    expect(note).to_have_value(re.compile("^(wet ){1099}wet ?$"))
    note.fill("wet")
    save(page)
    sync(phone)
    expect(main).to_contain_text("Nothing to settle", timeout=LONG)
    assert {c["body"].get("note") for c in counts_of(home, plot)} == {None, "wet"}
