"""The same for beds 3 to 7: chosen by range, by kind, all at once; saved as one, taken back as one."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, expect

from tests.browser.diary_hands import (
    beds,
    beds_id,
    bodies,
    choose,
    diary,
    kept_offline,
    press,
    sheet,
    small_targets,
    tick,
)
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, phone_of, push, sync

pytestmark = pytest.mark.browser


def ticked(form: Locator) -> list[str]:
    boxes = form.get_by_role("checkbox").all()
    return [str(box.evaluate("(one) => one.parentElement.textContent")) for box in boxes if box.is_checked()]


def test_one_form_for_several_beds_is_saved_as_one_and_taken_back_as_one(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    beds(home, plot, 5)
    last = {
        "kind": "pellets",
        "place_ids": [beds_id(plot, 3)],
        "observed_at": "2026-05-01T08:00:00+01:00",
        "product": "Ferric pellets",
        "authorisation_number": "MAPP 12345",
        "harvest_interval_days": 7,
        "amount": {"value": 30, "unit": "g"},
        "area_m2": 6,
    }
    push(home, bearer(home, plot), plot, [{"type": "treatment", "id": beds_id(plot, 9), "set": last}])
    phone = phone_of(new_phone, home, plot, "Bo")
    kept_offline(phone)
    sync(phone)
    phone.offline()

    # By range, with what was used the last time. One record names all five beds.
    page = diary(phone, "Days")
    page.get_by_role("button", name="Treatment", exact=True).click()
    form = sheet(page, "New treatment")
    form.get_by_label("What was done?").select_option(label="Pellets")
    where = form.get_by_role("group", name="Where?")
    tick(where, "Bed 3", "Bed 7")
    form.get_by_role("button", name="Also Bed 4, Bed 5, Bed 6").click()
    expect(form).to_contain_text("Ferric pellets, MAPP 12345, 30 g on 6 m²")
    form.get_by_role("button", name="Take it").click()
    expect(form.get_by_label("Harvest interval, days")).to_have_value("7")
    expect(form.get_by_label("Amount")).to_have_value("30")
    assert small_targets(form) == []
    press(form, "Save treatment")
    expect(page.get_by_role("status").filter(has_text="Saved: Pellets")).to_be_visible()

    # All of a kind: a note for each.
    page.get_by_role("button", name="Note", exact=True).click()
    form = sheet(page, "New note")
    form.get_by_label("What happened?").fill("Net taken off")
    form.get_by_role("button", name="All beds").click()
    every = ["Bed", "Bed 3", "Bed 4", "Bed 5", "Bed 6", "Bed 7"]
    expect(form.get_by_role("checkbox", checked=True)).to_have_count(len(every))
    assert ticked(form) == every
    tick_off(form, "Bed")
    press(form, "Save 5 notes")
    rows = page.get_by_role("button", name=re.compile("Net taken off"))
    expect(rows).to_have_count(5, timeout=LONG)
    undo = page.get_by_role("status").filter(has_text="Saved: 5 entries")
    undo.get_by_role("button", name="Undo").click()
    expect(rows).to_have_count(0, timeout=LONG)

    # Soil cores of three beds: searched alike, each with what was found.
    page.get_by_role("button", name="Soil cores", exact=True).click()
    form = sheet(page, "Soil sample for wireworms")
    tick(form, "Bed 3", "Bed 5")
    form.get_by_role("button", name="Also Bed 4").click()
    for label, text in (("Cores", "20"), ("Core, cm across", "10"), ("Depth, cm", "20")):
        form.get_by_label(label, exact=True).fill(text)
    for bed, found in ((3, "2"), (4, "0"), (5, "1")):
        form.get_by_label(f"Bed {bed}: wireworms found").fill(found)
    expect(form).to_contain_text("Bed 3: 32 per m², 4 to 115 likely (95 %)")
    expect(form).to_contain_text("Bed 4: none found, up to 48 per m² may be there (95 %)")
    press(form, "Save 3 samples")

    # A crop in each, covered together.
    page = diary(phone, "Crops")
    page.get_by_role("button", name="Start a crop").click()
    form = sheet(page, "Start a crop")
    form.get_by_label("Which crop?").fill("Leek")
    form.get_by_role("button", name="All beds").click()
    press(form, "Start 6 crops")
    card = page.get_by_role("article", name=re.compile("Leek.*Bed 4"))
    card.get_by_role("button", name="What happened?").click()
    form = sheet(page, re.compile("what happened"))
    choose(form, "Covered")
    tick(form, "Leek\u00a0· Bed 6")
    form.get_by_role("button", name=re.compile("^Also .*Bed 5")).click()
    press(form, "Save for 3 crops")
    undo = page.get_by_role("status").filter(has_text="Saved: 3 entries")
    undo.get_by_role("button", name="Undo").click()
    expect(undo).to_have_count(0, timeout=LONG)
    card.get_by_role("button", name="What happened?").click()
    form = sheet(page, re.compile("what happened"))
    choose(form, "Covered")
    form.get_by_role("button", name="All: Leek").click()
    press(form, "Save for 6 crops")

    phone.offline(False)
    sync(phone)
    sprayed = [one for one in bodies(home, plot, "treatment") if one.get("observer") == "Bo"]
    assert [one["place_ids"] for one in sprayed] == [[beds_id(plot, n) for n in (3, 4, 5, 6, 7)]]
    assert sprayed[0]["amount"] == {"value": 30, "unit": "g"}
    assert bodies(home, plot, "note") == []
    samples = {one["place_id"]: (one["cores"], one["found"]) for one in bodies(home, plot, "soil_sample")}
    assert samples == {beds_id(plot, n): (20, found) for n, found in ((3, 2), (4, 0), (5, 1))}
    covered = [one for one in bodies(home, plot, "crop_event") if one["what"] == "covered"]
    assert len({one["crop_id"] for one in covered}) == len(covered) == 6
    assert phone.errors == []


def tick_off(form: Locator, label: str) -> None:
    form.get_by_role("checkbox", name=label, exact=True).uncheck()
