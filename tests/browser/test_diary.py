"""The season written down on one phone, off the network, and read on another."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Page, expect

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
    step,
    tick,
)
from tests.browser.disk import draft_holds
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, phone_of, push, sync

pytestmark = pytest.mark.browser


def test_a_crop_is_followed_offline_and_another_phone_reads_its_story(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    ids = beds(home, plot, 5)
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    kept_offline(phone)
    phone.offline()
    page = diary(phone, "Crops")
    page.get_by_role("button", name="Start a crop").click()
    form = sheet(page, "Start a crop")
    form.get_by_label("Which crop?").fill("Second early potatoes")
    # 0 °C: Table 2 of PMC10202904, as the frost warnings have it.
    expect(form).to_contain_text("Known as potato: frost may harm it below 0.0\u00a0°C")
    form.get_by_label("Variety").fill("Charlotte")
    form.get_by_label("Seed batch").fill("2026/4")
    choose(form, "Chitted")
    tick(form, "Bed 3", "Bed 7")
    form.get_by_role("button", name="Also Bed 4, Bed 5, Bed 6").click()
    assert small_targets(form) == []
    draft_holds(page, "crop", "Second early", "Charlotte", "2026/4", "chitted", *ids.values())
    page.reload()  # half filled, and the phone was locked
    page.get_by_role("button", name="Start a crop").click(timeout=LONG)
    form = sheet(page, "Start a crop")
    expect(form.get_by_label("Variety")).to_have_value("Charlotte")
    press(form, "Start 5 crops")
    cards = page.get_by_role("article")
    expect(cards).to_have_count(5, timeout=LONG)

    three = page.get_by_role("article", name=re.compile("Bed 3"))
    step(three, page, "Planted out", "Bed 4", "Bed 5", "Bed 6", "Bed 7", save="Save for 5 crops")
    for bed in ids:
        expect(page.get_by_role("article", name=re.compile(bed))).to_contain_text("Planted out", timeout=LONG)
    step(three, page, "Stage", stage="Flower buds showing")
    expect(three).to_contain_text("Flower buds showing", timeout=LONG)
    step(three, page, "Harvested", kg="2,4")
    expect(three.get_by_role("button").first).to_contain_text("Harvested 2.4 kg", timeout=LONG)

    phone.offline(False)
    sync(phone)
    today = datetime.now(ZoneInfo("Europe/London")).date().isoformat()
    crops = bodies(home, plot, "crop")
    assert {crop["place_id"] for crop in crops} == set(ids.values())
    assert {(crop["kind"], crop["variety"], crop["started_on"]) for crop in crops} == {
        ("Second early potatoes", "Charlotte", today)
    }
    events = bodies(home, plot, "crop_event")
    told = sorted((event["what"], event.get("kg"), event.get("stage")) for event in events)
    assert told == [
        *[("chitted", None, None)] * 5,
        ("harvested", 2.4, None),
        *[("planted", None, None)] * 5,
        ("stage", None, "flower buds showing (BBCH 5)"),
    ]
    other = phone_of(new_phone, home, plot, "Cy")
    story = diary(other, "Crops").get_by_role("article", name=re.compile("Bed 3"))
    for words in ("Chitted", "Planted out", "Flower buds showing", "Harvested", "2.4 kg"):
        expect(story).to_contain_text(words, timeout=LONG)
    assert phone.errors == other.errors == []


def test_a_brew_is_counted_dosed_checked_and_written_down(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    beds(home, plot, 2)
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    page = diary(phone, "Cultures")
    page.get_by_role("button", name="Start a culture").click()
    form = sheet(page, "Start a culture")
    expect(form).to_contain_text("unidentified and unproven")
    expect(form).to_contain_text("needs a licence")
    form.get_by_label("Name").fill("Bucket 2")
    press(form, "Start it")
    card = page.get_by_role("region", name="Bucket 2")
    card.get_by_role("button", name="Count drops").click()
    form = sheet(page, re.compile("^Count drops"))
    form.get_by_label("Animals in each drop").fill("12 15 9 14 10")
    form.get_by_label("Size of a drop, ml").fill("0,05")
    # 60 in 0.25 ml; exact Poisson limits of 60 are 45.786 and 77.232 (scipy 1.17.1, chi2.ppf).
    expect(form).to_contain_text("240 per ml")
    expect(form).to_contain_text("183 to 309 per ml is likely (95 %): 60 counted in 5 drops")
    assert small_targets(form) == []
    press(form, "Save the count")
    card.get_by_role("button", name="How much for a bed?").click()
    form = sheet(page, re.compile("^How much of Bucket 2"))
    tick(form, "Bed 3")
    # 6 m² × 300,000 per m² (a UK distributor's table) / 240 per ml = 7.5 l.
    expect(form).to_contain_text("7.5 l of the culture")
    expect(form).to_contain_text("5.8 to 9.8 l is likely (95 %), for 1.8 million animals on 6.0 m²")
    form.get_by_role("button", name="Check soil and write it down").click()
    form = sheet(page, "New treatment")
    expect(form.get_by_label("Amount", exact=True)).to_have_value("7.5")
    form.get_by_label("Soil temperature, °C").fill("12")
    choose(form, "Dry")
    expect(form).to_contain_text("Not now.")  # dry soil: suppliers' leaflets
    choose(form, "Damp")
    form.get_by_role("group", name="Left untreated").get_by_role("checkbox", name="Bed 4").check()
    press(form, "Save treatment")
    expect(card).to_contain_text("Last used", timeout=LONG)
    sync(phone)
    (culture,) = bodies(home, plot, "culture")
    assert (culture["source"], culture["aliquot_counts"], culture["aliquot_ml"]) == (
        "unidentified",
        [12, 15, 9, 14, 10],
        0.05,
    )
    (treatment,) = bodies(home, plot, "treatment")
    assert treatment["kind"] == "brew"
    assert treatment["amount"] == {"value": 7.5, "unit": "l"}
    assert treatment["area_m2"] == 6
    assert treatment["culture_id"]
    assert treatment["control_place_ids"] == [beds_id(plot, 4)]
    assert culture["used_at"] == treatment["observed_at"]
    assert phone.errors == []


def readings_of_a_morning(server: ServerProcess, plot: str) -> None:
    """Three thermometers, read within six minutes by a script."""
    day = datetime.now(ZoneInfo("Europe/London")).date()
    records = []
    for n, (label, low) in enumerate((("Post", -1.4), ("Tunnel", 3.0), ("Frame", 0.5))):
        meter = beds_id(plot, 9)[:-2] + f"7{n}"
        records += [
            {"type": "station", "id": meter, "set": {"kind": "thermometer", "label": label, "walk_order": n}},
            {
                "type": "temperature",
                "id": beds_id(plot, 9)[:-2] + f"8{n}",
                "set": {
                    "station_id": meter,
                    "observed_at": f"{day}T00:0{2 * n}:00+00:00",
                    "min": {"value": low, "unit": "degC"},
                    "max": {"value": 11.0 + n, "unit": "degC"},
                },
            },
        ]
    push(server, bearer(server, plot), plot, records)


def one_entry_opens_to_its_parts(page: Page) -> None:
    """What was read on one walk is one line; a part of it is changed, with its past, as any record is."""
    entry = page.locator(".diary-together")
    expect(entry).to_have_count(1, timeout=LONG)
    expect(entry).to_contain_text("3 thermometers read")
    expect(entry).to_contain_text("lowest \u22121.4\u00a0°C, Post")
    expect(entry).to_contain_text("highest 13.0\u00a0°C, Frame")
    entry.locator("summary").click()
    assert small_targets(entry) == []
    entry.get_by_role("button", name=re.compile("^Post")).click()
    form = sheet(page, re.compile("^Temperature.*Post"))
    form.get_by_label("Lowest").fill("-2.5")
    press(form, "Save change")
    expect(entry).to_contain_text("lowest \u22122.5\u00a0°C, Post", timeout=LONG)
    expect(entry).to_contain_text("on this phone only")
    entry.get_by_role("button", name=re.compile("^Post")).click()  # it has stayed open
    form = sheet(page, re.compile("^Temperature.*Post"))
    form.get_by_text("What was changed").click()
    expect(form.locator(".past-list")).to_contain_text(
        "Lowest: \u22121.4\u00a0°C → \u22122.5\u00a0°C", timeout=LONG
    )
    form.get_by_role("button", name="Close").click()


def test_damage_soil_cores_and_a_morning_of_readings_say_what_they_mean(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    beds(home, plot, 1)
    readings_of_a_morning(home, plot)
    phone = phone_of(new_phone, home, plot, "Bo")
    sync(phone)
    phone.offline()
    page = diary(phone, "Days")
    one_entry_opens_to_its_parts(page)
    # All that there is stands here already.
    expect(page.get_by_role("button", name="Show older days")).to_have_count(0)
    page.get_by_role("button", name="Damage").click()
    form = sheet(page, "Damage counted")
    form.get_by_label("Of what?").select_option(label="Bed 3")
    form.get_by_label("Looked at").fill("40")
    form.get_by_label("Damaged", exact=True).fill("3")
    # statsmodels 0.15.0, proportion_confint(3, 40, method="wilson"): 2.58 to 19.86 %.
    expect(form).to_contain_text("7.5 % damaged")
    expect(form).to_contain_text("3 to 20 % of the whole crop is likely")
    form.get_by_label("By what?").fill("Slugs")
    assert small_targets(form) == []
    press(form, "Save damage")
    page.get_by_role("button", name="Soil cores").click()
    form = sheet(page, "Soil sample for wireworms")
    tick(form, "Bed 3")
    for label, text in (
        ("Cores", "20"),
        ("Core, cm across", "10"),
        ("Depth, cm", "20"),
        ("Wireworms found", "0"),
    ):
        form.get_by_label(label, exact=True).fill(text)
    # 0.15708 m² searched, 2 of 5 found by hand: one-sided 95 % limit 47.7 per m² (scipy 1.17.1, chi2.ppf).
    expect(form).to_contain_text("Up to 48 per m² may be there, all the same")
    assert small_targets(form) == []
    press(form, "Save sample")
    expect(page.get_by_role("main")).to_contain_text("3 of 40 damaged", timeout=LONG)
    phone.offline(False)
    sync(phone)
    (damage,) = bodies(home, plot, "damage")
    assert (damage["examined"], damage["damaged"], damage["cause"]) == (40, 3, "Slugs")
    assert damage["place_id"] == beds_id(plot, 3)
    (sample,) = bodies(home, plot, "soil_sample")
    assert (sample["cores"], sample["core_diameter_m"], sample["depth_m"], sample["found"]) == (
        20,
        0.1,
        0.2,
        0,
    )
    assert phone.errors == []
