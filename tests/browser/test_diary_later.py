"""What was written down is told where it matters, mended later, and only read where no more is allowed."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import expect

from tests.browser.diary_hands import (
    beds,
    beds_id,
    bodies,
    choose,
    day_words,
    diary,
    press,
    sheet,
    small_targets,
    tick,
)
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, open_now, phone_of, push, sync

pytestmark = pytest.mark.browser


def test_a_harvest_interval_is_told_wherever_it_matters_and_can_be_mended(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    beds(home, plot, 4)
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    today = datetime.now(ZoneInfo("Europe/London")).date()
    page = diary(phone, "Days")
    page.get_by_role("button", name="Treatment", exact=True).click()
    form = sheet(page, "New treatment")
    form.get_by_label("What was done?").select_option(label="Pellets")
    where = form.get_by_role("group", name="Where?")
    tick(where, "Bed 3", "Bed 5")
    form.get_by_role("button", name="Also Bed 4").click()
    form.get_by_label("Product, as on the label").fill("Ferric pellets")
    form.get_by_label("Authorisation number").fill("MAPP 12345")
    form.get_by_label("Harvest interval, days").fill("7")
    assert small_targets(form) == []
    press(form, "Save treatment")
    until = day_words(today + timedelta(days=7))
    expect(page.get_by_role("main")).to_contain_text(f"Bed 4: not before {until}", timeout=LONG)
    open_now(phone, page.get_by_role("main").filter(has_text=f"Bed 5: not before {until}"))
    page = diary(phone, "Crops")
    page.get_by_role("button", name="Start a crop").click()
    form = sheet(page, "Start a crop")
    form.get_by_label("Which crop?").fill("Lettuce")
    tick(form, "Bed 3")
    press(form, "Start the crop")
    card = page.get_by_role("article", name=re.compile("Lettuce"))
    card.get_by_role("button", name="What happened?").click()
    form = sheet(page, re.compile("what happened"))
    choose(form, "Harvested")
    expect(form).to_contain_text(f"No harvest here before {until}: Ferric pellets")
    form.get_by_role("button", name="Close").click()
    sync(phone)

    # It was 14 days, and Bed 6 had some too: mended on another phone.
    other = phone_of(new_phone, home, plot, "Cy")
    page = diary(other, "Days")
    page.get_by_role("button", name=re.compile("^Pellets")).click(timeout=LONG)
    form = sheet(page, re.compile("^Pellets"))
    expect(form).to_contain_text("Written by Bo")
    form.get_by_label("Harvest interval, days").fill("14")
    form.get_by_role("group", name="Treated places").get_by_role("checkbox", name="Bed 6").check()
    press(form, "Save change")
    sync(other)
    (treatment,) = bodies(home, plot, "treatment")
    assert treatment["authorisation_number"] == "MAPP 12345"
    assert treatment["harvest_interval_days"] == 14
    assert treatment["place_ids"] == [beds_id(plot, n) for n in (3, 4, 5, 6)]
    sync(phone)
    page = diary(phone, "Days")
    later = day_words(today + timedelta(days=14))
    expect(page.get_by_role("main")).to_contain_text(f"Bed 6: not before {later}", timeout=LONG)
    assert phone.errors == other.errors == []


def test_a_phone_that_may_only_read_is_shown_no_button_that_would_be_refused(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    beds(home, plot, 1)
    crop = {
        "kind": "Leek",
        "variety": "Musselburgh",
        "place_id": beds_id(plot, 3),
        "started_on": "2026-04-01",
    }
    id_ = beds_id(plot, 9)
    step_ = {"crop_id": id_, "what": "sown", "observed_at": "2026-04-01T12:00:00+01:00", "observer": "Bo"}
    culture = {"label": "Bucket", "started_at": "2026-04-01T12:00:00+01:00", "source": "unidentified"}
    records = [
        ("crop", id_, crop),
        ("crop_event", beds_id(plot, 8), step_),
        ("culture", beds_id(plot, 7), culture),
    ]
    push(
        home,
        bearer(home, plot),
        plot,
        [{"type": kind, "id": one, "set": set_} for kind, one, set_ in records],
    )
    code = home.code_for(plot, "reader")
    phone = new_phone(home.url, "guest")
    page = phone.go(f"/#pair={code}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill("Guest", timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    page = diary(phone, "Cultures")
    expect(page.get_by_role("region", name="Bucket")).to_be_visible(timeout=LONG)
    refused = re.compile("Note|Treatment|Damage|Soil cores|Start|happened|Count|How much|Thrown|Save|Delete")
    expect(page.get_by_role("button", name=refused)).to_have_count(0)
    page.get_by_role("radio", name="Days", exact=True).check()
    expect(page.get_by_role("button", name=re.compile("Dawn round"))).to_be_visible(timeout=LONG)
    expect(page.get_by_role("button", name=refused)).to_have_count(0)
    page.get_by_role("radio", name="Crops", exact=True).check()
    card = page.get_by_role("article", name=re.compile("Leek"))
    expect(card).to_contain_text("Sown")
    expect(page.get_by_role("button", name=refused)).to_have_count(0)
    card.get_by_role("button").first.click()
    shown = sheet(page, re.compile("Leek"))
    expect(shown).to_contain_text("Musselburgh")
    expect(shown.get_by_role("button")).to_have_count(1)  # Close
    expect(shown.get_by_role("textbox")).to_have_count(0)
    assert phone.errors == []
