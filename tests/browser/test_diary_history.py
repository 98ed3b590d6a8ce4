"""What was changed in a record, by whom, offline and at home; a value put back; a removed record put back."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Locator, expect

from tests.browser.diary_hands import beds_id, bodies, diary, kept_offline, press, sheet, small_targets
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, phone_of, push, sync

pytestmark = pytest.mark.browser


def treat(server: ServerProcess, plot: str, base_rev: int = 0, **fields: Any) -> None:
    """A script writes the treatment down, or changes it."""
    at = (datetime.now(ZoneInfo("Europe/London")) - timedelta(hours=1)).isoformat(timespec="seconds")
    made = {
        "kind": "pellets",
        "place_ids": [bed(plot)],
        "observed_at": at,
        "observer": "Ada",
        "product": "Ferric",
    }
    set_ = fields if base_rev else {**made, **fields}
    push(
        server,
        bearer(server, plot),
        plot,
        [{"type": "treatment", "id": beds_id(plot, 7), "base_rev": base_rev, "set": set_}],
    )


def bed(plot: str) -> str:
    return beds_id(plot, 0)[:-2] + "a0"


def opened(page: Any) -> Locator:
    """The sheet of the treatment with what was changed in it."""
    page.get_by_role("button", name=re.compile("^Pellets")).first.click(timeout=LONG)
    form = sheet(page, re.compile("^Pellets"))
    form.get_by_text("What was changed").click()
    return form


def opened_with(page: Any, days: str) -> Locator:
    """The sheet once the diary has read what was just taken back: a sheet shows its record as it was when it opened."""
    for _ in range(100):
        form = opened(page)
        if form.get_by_label("Harvest interval, days").input_value() == days:
            return form
        form.get_by_role("button", name="Close").click()
        page.wait_for_timeout(200)
    raise AssertionError(f"the interval is not {days} days")


def changes(form: Locator) -> Locator:
    return form.locator(".past-list > li")


def removed(server: ServerProcess, plot: str) -> list[str]:
    answer = server.call("GET", f"/api/v1/plots/{plot}/records/removed", headers=bearer(server, plot))
    return [record["type"] for record in answer["records"]]


def test_what_was_changed_is_told_at_home_and_on_the_plot_and_a_value_is_put_back(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    treat(home, plot, harvest_interval_days=7)
    treat(home, plot, 1, harvest_interval_days=14)
    phone = phone_of(new_phone, home, plot, "Bo")
    kept_offline(phone)
    sync(phone)
    page = diary(phone, "Days")
    form = opened(page)
    expect(changes(form)).to_have_count(2, timeout=LONG)
    expect(changes(form).first).to_contain_text("Changed by script")
    expect(changes(form).first).to_contain_text("Harvest interval: 7 → 14")
    expect(changes(form).last).to_contain_text("Written by script")
    form.get_by_role("button", name="Close").click()

    # On the plot: what this phone did, and the rest as it was told last.
    phone.offline()
    page = diary(phone, "Days")
    form = opened(page)
    form.get_by_label("Harvest interval, days").fill("21")
    press(form, "Save change")
    form = opened(page)
    expect(changes(form)).to_have_count(3, timeout=LONG)
    expect(changes(form).first).to_contain_text("on this phone only")
    expect(changes(form).first).to_contain_text("Harvest interval: 14 → 21")
    expect(form).to_contain_text("it is out of reach now")
    assert small_targets(form) == []
    # The value before the one before: a new edit like any other, and Undo takes that one back again.
    form.get_by_role("button", name="Put back 7").click()
    expect(form).to_be_hidden(timeout=LONG)
    status = page.get_by_role("status").filter(has_text="Put back: Harvest interval")
    status.get_by_role("button", name="Undo").click()
    expect(status).to_have_count(0, timeout=LONG)
    form = opened_with(page, "21")
    form.get_by_role("button", name="Put back 14").first.click()
    expect(form).to_be_hidden(timeout=LONG)
    phone.offline(False)
    sync(phone)
    (treatment,) = bodies(home, plot, "treatment")
    assert treatment["harvest_interval_days"] == 14
    assert phone.errors == []


def test_a_sheet_that_stood_open_replaces_nothing_that_came_behind_it(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    treat(home, plot, harvest_interval_days=7)
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    form = opened(diary(phone, "Days"))
    expect(form.get_by_label("Harvest interval, days")).to_have_value("7")
    treat(home, plot, 1, harvest_interval_days=14)
    # In another tab the phone hears of it, and says so.
    other = phone.context.new_page()
    other.goto(f"{home.url}/sync")
    other.get_by_role("button", name="Sync now").click(timeout=LONG)
    expect(other.get_by_role("button", name="Sync now")).to_be_enabled(timeout=LONG)
    other.goto(f"{home.url}/diary")
    opened_with(other, "14")
    other.close()
    form.get_by_label("Harvest interval, days").fill("9")
    press(form, "Save change")
    sync(phone)
    (treatment,) = bodies(home, plot, "treatment")
    assert treatment["harvest_interval_days"] == 14
    sides = phone.go("/sync").locator(".side")
    expect(sides.filter(has_text=re.compile(r"(?<!\d)9(?!\d)"))).to_have_count(1, timeout=LONG)
    assert phone.errors == []


def test_a_settled_conflict_stays_readable_and_what_was_removed_comes_back(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    treat(home, plot, harvest_interval_days=7)
    treat(home, plot, 1, harvest_interval_days=14)
    late = {
        "op_id": "01890000-0000-7000-8000-00000000aaaa",
        "kind": "put",
        "id": beds_id(plot, 7),
        "base_rev": 1,
    }
    headers = bearer(home, plot)
    epoch = home.call("GET", f"/api/v1/sync/pull?plot={plot}", headers=headers)["epoch"]
    frame = {"protocol": 1, "schema": 1, "plot": plot, "epoch": epoch, "sent_at": "2026-05-03T05:30:00Z"}
    ops = [{**late, "set": {"harvest_interval_days": 3}}]
    answer = home.call("POST", "/api/v1/sync/push", json.dumps({**frame, "ops": ops}).encode(), headers)
    assert answer["results"][0]["status"] == "conflict"
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    page = diary(phone, "Days")
    form = opened(page)
    kept = changes(form).filter(has_text="Also meant")
    expect(kept).to_contain_text("Harvest interval: 3, while 14 stood", timeout=LONG)
    expect(kept).to_contain_text("Not settled yet")
    page = phone.go("/sync")
    side = page.locator(".side").filter(has=page.get_by_text(re.compile("^3$")))
    side.get_by_role("button", name="Take this").click(timeout=LONG)
    page.get_by_role("button", name="Settle", exact=True).click()
    expect(page.locator(".side")).to_have_count(0, timeout=LONG)
    sync(phone)
    form = opened(diary(phone, "Days"))
    expect(changes(form).first).to_contain_text("Settled by", timeout=LONG)
    expect(changes(form).first).to_contain_text("Harvest interval: 14 → 3")
    expect(kept).to_contain_text("This was taken, by")
    comes_back(phone, home, plot)


def comes_back(phone: Phone, home: ServerProcess, plot: str) -> None:
    """A removed round comes back by Undo, and later from the list, with the count that belonged to it."""
    page = diary(phone, "Days")

    def remove() -> None:
        page.get_by_role("button", name=re.compile("^Dawn round")).click(timeout=LONG)
        form = sheet(page, re.compile("^Dawn round"))
        form.get_by_role("button", name="Remove this record").click()
        expect(form).to_contain_text("Its 1 count goes with it", timeout=LONG)
        press(form, "Yes, remove")
        expect(page.get_by_role("button", name=re.compile("^Dawn round"))).to_have_count(0)

    remove()
    page.get_by_role("status").get_by_role("button", name="Undo").click()
    expect(page.get_by_role("button", name=re.compile("^Dawn round"))).to_contain_text(
        "5 slugs", timeout=LONG
    )
    remove()
    sync(phone)
    assert removed(home, plot) == ["slug_count", "round"]
    page = diary(phone, "Days")
    page.get_by_text("Removed records").click()
    row = page.locator(".removed-list > li")
    expect(row).to_have_count(1, timeout=LONG)
    expect(row).to_contain_text("with 1 count")
    expect(row).to_contain_text("removed by")
    row.get_by_role("button", name="Put back").click()
    expect(page.get_by_role("button", name=re.compile("^Dawn round"))).to_contain_text(
        "5 slugs", timeout=LONG
    )
    expect(row).to_have_count(0)
    sync(phone)
    assert removed(home, plot) == []
    (round_,), (count,) = bodies(home, plot, "round"), bodies(home, plot, "slug_count")
    assert (count["count"], count["observer"], round_["observer"]) == (5, "Ada", "Ada")
    # Its past goes on: what was before the removal is told behind it.
    page = diary(phone, "Days")
    page.get_by_role("button", name=re.compile("^Dawn round")).click(timeout=LONG)
    form = sheet(page, re.compile("^Dawn round"))
    form.get_by_text("What was changed").click()
    form.get_by_role("button", name="What was changed before").click(timeout=LONG)
    expect(changes(form).filter(has_text="Removed")).to_have_count(1, timeout=LONG)
    assert phone.errors == []
