"""A set of bait traps from setting to the verdict on the bed, with wet hands and no signal."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Playwright, expect

from tests.browser.diary_hands import beds, beds_id, bodies, choose, press, sheet, small_targets
from tests.browser.disk import draft_holds
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, new_plot, phone_of, push, start_records, sync

pytestmark = pytest.mark.browser


def now() -> datetime:
    """By the plot's clock, when it is asked: tests are collected long before they run."""
    return datetime.now(ZoneInfo("Europe/London")).replace(microsecond=0)


def lifted(plot: str, trap: str, wireworms: int, number: int) -> dict[str, Any]:
    """A lift that counts: 12 days in soil of 11 °C, up to three weeks ago."""
    up = now() - timedelta(days=20, minutes=number)
    return {
        "type": "trap_catch",
        "id": f"01890000-0000-7000-8001-{plot[-12:-3]}{number:03d}",
        "set": {
            "station_id": trap,
            "set_at": (up - timedelta(days=12)).isoformat(),
            "observed_at": up.isoformat(),
            "state": "counted" if wireworms else "none_found",
            "wireworms": wireworms,
            "soil": {"value": 11, "unit": "degC"},
            "observer": "Ada",
        },
    }


@pytest.fixture(scope="module")
def plot(home: ServerProcess) -> str:
    """Five beds and no trap yet."""
    plot_id = new_plot(home)
    beds(home, plot_id, 4)
    return plot_id


@pytest.fixture(scope="module")
def phone(
    home: ServerProcess, plot: str, playwright: Playwright, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Phone]:
    """One phone for both tests: joining is most of the work."""

    def make(url: str, name: str) -> Phone:
        return Phone(playwright, tmp_path_factory.mktemp(name), url)

    joined = phone_of(make, home, plot, "Bo")
    sync(joined)
    yield joined
    joined.close()


def test_a_set_of_traps_is_set_lifted_and_tells_the_bed_apart(
    home: ServerProcess, plot: str, phone: Phone
) -> None:
    phone.offline()
    page = phone.go("/traps")
    page.get_by_role("button", name="Set the first traps").click(timeout=LONG)
    form = sheet(page, "Set traps")
    choose(form, "Bed 3")
    # (1 + 0.5/0.5)^(-0.5 n) is at most 1 in 20 from nine traps on; the phone offers them.
    expect(form).to_contain_text("9 more would settle it, if they hold none")
    for _ in range(7):
        form.get_by_role("button", name="One fewer: trap").click()
    expect(form).to_contain_text("2 new traps")
    form.get_by_label("Where in the bed?").fill("by the hedge")
    form.get_by_label("Bait", exact=True).fill("soaked barley")
    day = (now() - timedelta(days=12)).date().isoformat()
    form.get_by_label("Day").fill(day)
    assert small_targets(form) == []
    draft_holds(page, "set_traps", '"n":2', "by the hedge", "soaked barley", day)
    page.reload()  # half filled, and the phone was locked
    page.get_by_role("button", name="Set the first traps").click(timeout=LONG)
    form = sheet(page, "Set traps")
    expect(form.get_by_label("Bait", exact=True)).to_have_value("soaked barley", timeout=LONG)
    press(form, "Write down 2 traps as set")

    for trap, soil in (("Trap 1", "10.5"), ("Trap 2", "7")):
        page.get_by_role("button", name=f"Lift {trap}").click(timeout=LONG)
        form = sheet(page, f"Lift {trap}")
        if trap == "Trap 1":
            form.get_by_role("button", name="Which is it?").click()
            guide = sheet(page, "Which is it?")
            choose(guide, "One pair on each ring")
            expect(guide).to_contain_text("That is a centipede")
            expect(guide.get_by_role("heading", name="Wireworms")).to_be_hidden()
            assert small_targets(guide) == []
            guide.get_by_role("button", name="Close").click()
            form.get_by_role("button", name="One more: Centipedes").click()
        else:  # one measurement serves the whole set until another is typed
            expect(form.get_by_label(re.compile("^Soil temperature"))).to_have_value("10.5")
        form.get_by_role("button", name="No wireworms").click()
        form.get_by_label(re.compile("^Soil temperature")).fill(soil)
        expect(form).to_contain_text(
            "Yes: 12 days in the ground" if trap == "Trap 1" else "No: soil at 8 °C or less."
        )
        assert small_targets(form) == []
        press(form, "Save lift")
    bed = page.get_by_role("listitem").filter(has=page.get_by_role("heading", name=re.compile("Bed 3$")))
    # One valid trap with none: upper limit -ln(0.025) = 3.7 a trap; missed with 2^(-1/2).
    expect(bed).to_contain_text(
        "No wireworm in 1 valid trap: up to 3.7 a trap is still possible", timeout=LONG
    )
    expect(bed).to_contain_text("would come up empty in 71 % of cases. Nothing found is not nothing there.")
    expect(bed).to_contain_text("Not known yet: wait")
    expect(bed).to_contain_text("8 more would settle it, if they hold none")
    expect(bed).to_contain_text("1 lift left out: soil at 8 °C or less")
    page.get_by_role("button", name="Set 2 again in Bed 3").click()
    expect(sheet(page, "Set traps")).to_contain_text("Again: Trap 1, Trap 2.")
    page.keyboard.press("Escape")
    phone.offline(False)
    sync(phone)
    traps = [one for one in bodies(home, plot, "station") if one["kind"] == "bait_trap"]
    assert {(one["label"], one["place_id"], one["bait"], one["note"]) for one in traps} == {
        (f"Trap {n}", beds_id(plot, 3), "soaked barley", "by the hedge") for n in (1, 2)
    }
    catches = bodies(home, plot, "trap_catch")
    assert sorted((one["state"], one["centipedes"], one["soil"]["value"]) for one in catches) == [
        ("none_found", 0, 7),
        ("none_found", 1, 10.5),
    ]
    assert phone.errors == []


def test_beds_are_ranked_by_their_upper_limit_and_say_what_they_mean(
    home: ServerProcess, plot: str, phone: Phone
) -> None:
    ids = {f"Bed {n}": beds_id(plot, n) for n in range(4, 7)}
    stem = start_records(plot)[1]["id"][:-2]
    traps = {bed: f"{stem}f{n}" for n, bed in enumerate(("Bed 5", "Bed 4"))}
    push(home, bearer(home, plot), plot, [
        *({"type": "station", "id": id_, "set": {"kind": "bait_trap", "place_id": ids[bed], "label": f"Trap {bed}"}}
          for bed, id_ in traps.items()),
        *(lifted(plot, traps["Bed 5"], n, i) for i, n in enumerate((9, 6, 4))),
        *(lifted(plot, traps["Bed 4"], 0, 10 + i) for i in range(9)),
        {"type": "soil_sample", "id": f"{stem}f9",
         "set": {"place_id": ids["Bed 6"], "cores": 20, "core_diameter_m": 0.1, "found": 0, "method": "hand_sort",
                 "observed_at": now().isoformat()}},
    ])  # fmt: skip
    sync(phone)
    page = phone.go("/traps")
    headings = page.get_by_role("heading", level=3)
    expect(headings).to_have_text(["1. Bed 4", "2. Bed 3", "3. Bed 5", "Bed 6"], timeout=LONG)
    best, _, worst, cores = (page.locator(".beds > li").nth(n) for n in range(4))
    # 2^(-9/2) = 4.4 %; Garwood's two-sided limit of 0 in 9: 3.6889/9 = 0.41.
    expect(best).to_contain_text("May be planted, at a known risk")
    expect(best).to_contain_text("No wireworm in 9 valid traps: up to 0.41 a trap is still possible")
    expect(best).to_contain_text("come up empty in 4 % of cases")
    expect(best).to_contain_text("Enough traps: more with none would not change the answer")
    # 19 in 3 traps: 6.33 (3.81 to 9.89), scipy 1.17.1 (stats.chi2).
    expect(worst).to_contain_text("No potatoes, no carrots here")
    expect(worst).to_contain_text("6.3 a trap (95 %: 3.8 to 9.9)")
    expect(worst).to_contain_text("Enough traps: many, by more than chance")
    # 0.15708 m², 2 of 5 found by hand: one-sided 95 % limit 47.7 per m² (scipy 1.17.1, chi2.ppf).
    expect(cores).to_contain_text(
        "No wireworm in 20 soil cores (10.0 cm across, sorted by hand): up to 47.7 per m²"
    )
    expect(cores).to_contain_text("Not known yet: wait")
    assert small_targets(page.get_by_role("main")) == []
    assert phone.errors == []


def test_a_beetle_trap_is_set_up_and_read_on_its_own_card(
    home: ServerProcess, plot: str, phone: Phone
) -> None:
    place = start_records(plot)[1]["id"]
    pole = {"kind": "beetle_trap", "place_id": place, "label": "Pole 1", "walk_order": 90}
    push(home, bearer(home, plot), plot, [{"type": "station", "id": f"{place[:-2]}f7", "set": pole}])
    sync(phone)
    page = phone.go("/traps")
    page.get_by_role("button", name="Set up Pole 1").click(timeout=LONG)
    page.get_by_role("button", name="Read Pole 1").click(timeout=LONG)
    form = sheet(page, "Read Pole 1")
    form.get_by_label("Click beetles in it").fill("1.5")
    expect(form).to_contain_text("Write a whole number")
    expect(form.get_by_role("button", name="Save reading")).to_be_disabled()
    form.get_by_label("Click beetles in it").fill("12")
    assert small_targets(form) == []
    press(form, "Save reading")
    card = page.get_by_role("region", name="Beetle traps")
    expect(card).to_contain_text("12 click beetles on", timeout=LONG)
    sync(phone)
    (caught,) = [one for one in bodies(home, plot, "trap_catch") if "beetles" in one]
    assert (caught["beetles"], caught["state"], caught["rebaited"]) == (12, "counted", True)
    assert caught["set_at"] <= caught["observed_at"]
    page = phone.go("/diary")
    # Among the traps that were lifted on the same walk, if some were.
    expect(page.get_by_role("main")).to_contain_text(
        re.compile("12 click beetles|traps lifted"), timeout=LONG
    )
    page.evaluate("for (const walk of document.querySelectorAll('main details')) walk.open = true")
    expect(page.get_by_role("button", name=re.compile("Pole 1.*12 click beetles"))).to_be_visible(
        timeout=LONG
    )
    assert phone.errors == []
