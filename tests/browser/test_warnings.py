"""Warnings in real Chromium: raised by the real server, read and answered with no network, agreed on by both."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, open_now, push
from tests.browser.steps import settle
from tests.browser.warned import (
    BED,
    MORNING,
    NIGHT,
    OPEN_AIR,
    ZONE,
    cold_morning,
    id_of,
    joined,
    new_warned_plot,
    of_type,
    reading,
    records_of_evening,
    synced,
    type_evening,
)

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def quiet_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServerProcess]:
    """A server that looks for warnings only when told to: the tests turn its clock with `warn --at`."""
    process = ServerProcess(tmp_path_factory.mktemp("warned"))
    process.without_jobs()
    process.start()
    yield process
    process.stop()


def warn(server: ServerProcess, plot_id: str, at: datetime) -> dict[str, Any]:
    return dict(server.here("warn", "--at", at.isoformat(), "--plot", plot_id))


def at_time(phone: Phone, moment: datetime) -> None:
    """Turn the page's clock; it goes on from there."""
    phone.context.clock.set_fixed_time(moment)


# In sight, with nothing over it, without scrolling.
AT_THE_THUMB = """(one) => {
  const box = one.getBoundingClientRect();
  const seen = (x, y) => one.contains(document.elementFromPoint(x, y));
  const [middle, edges] = [(box.left + box.right) / 2, [box.top + 3, (box.top + box.bottom) / 2, box.bottom - 3]];
  return edges.every((y) => seen(middle, y));
}"""


def a_board(plot_id: str) -> dict[str, Any]:
    lies = {"kind": "slug_board", "place_id": id_of(plot_id, BED), "label": "Board 1", "walk_order": 1}
    return {"type": "station", "id": id_of(plot_id, "b1"), "set": lies}


def alarms(page: Page) -> Any:
    return page.get_by_role("region", name="Warnings")


def test_a_warning_is_first_on_now_and_is_answered_with_no_network(
    quiet_home: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    plot, headers = new_warned_plot(quiet_home)
    push(quiet_home, headers, plot, [*records_of_evening(plot, 4.0, 3.0), a_board(plot)])
    phone = joined(new_phone, quiet_home, plot, "Ada")
    at_time(phone, NIGHT)
    page = synced(phone)
    open_now(phone, page.get_by_role("region", name="Tonight", exact=True))
    raised = warn(quiet_home, plot, NIGHT)["raised"]
    frost = next(one for one in raised if one["rule"] == "frost")

    # It comes by an ordinary pull while the screen is open, and is read aloud.
    page.evaluate("dispatchEvent(new Event('online'))")
    expect(page.get_by_role("status").filter(has_text="New warning: " + frost["headline"])).to_have_count(
        1, timeout=LONG
    )
    card = page.get_by_role("article").first
    expect(card).to_contain_text(frost["headline"], timeout=LONG)
    expect(card).to_contain_text("Tonight")
    expect(page.get_by_role("region", name="Tonight", exact=True)).to_have_count(0)  # never both
    box, round_box = card.bounding_box(), page.get_by_role("heading", name="Dawn round").bounding_box()
    assert box is not None and round_box is not None and box["y"] < round_box["y"]

    # The round can be begun, the warning read and answered, from the first screen.
    for look in ("dawn", "day"):
        page.evaluate("look => { document.documentElement.dataset.look = look; scrollTo(0, 0) }", look)
        start = page.get_by_role("button", name="Start the dawn round")
        for one in (start, card.get_by_role("link"), *card.get_by_role("button").all()):
            assert one.evaluate(AT_THE_THUMB), one

    # On the plot: no network at all, the page opens from the phone.
    phone.offline()
    card.get_by_role("link", name=frost["headline"]).click()
    expect(page.get_by_role("heading", name=frost["headline"])).to_be_visible(timeout=LONG)
    expect(page.get_by_text(frost["why"])).to_be_visible()
    expect(page.get_by_text(frost["advice"])).to_be_visible()
    expect(page.get_by_role("img", name=re.compile("Air from sunset to sunrise"))).to_be_visible()
    expect(page.get_by_text(re.compile("Lowest expected"))).to_be_visible()
    page.get_by_text("Hour by hour").click()
    expect(page.get_by_role("columnheader", name="Expected")).to_be_visible()
    page.get_by_role("button", name="Seen", exact=True).click()
    expect(page.get_by_text("You have seen this.")).to_be_visible()
    page.get_by_role("button", name="Covered", exact=True).click()
    expect(page.get_by_text(re.compile("Covered by Ada"))).to_be_visible()
    assert of_type(quiet_home, plot, headers, "warning_reply") == []

    phone.go("/")
    expect(alarms(page).get_by_role("link", name=re.compile("Covered by Ada"))).to_be_visible(timeout=LONG)
    others = sum(one["loud"] for one in raised if one["rule"] != "frost")
    expect(page.get_by_role("article")).to_have_count(others)

    # Home again: one reply has both.
    phone.offline(False)
    synced(phone)
    replies = of_type(quiet_home, plot, headers, "warning_reply")
    assert [(r["body"]["warning_id"], r["body"]["seen"], r["body"]["acted"]) for r in replies] == [
        (frost["id"], True, True)
    ]
    assert replies[0]["body"]["observer"] == "Ada"
    assert phone.errors == []


def test_the_morning_after_one_tap_says_that_it_froze(
    quiet_home: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    plot, headers = new_warned_plot(quiet_home)
    push(quiet_home, headers, plot, records_of_evening(plot, 4.0, 3.0))
    frost = next(one for one in warn(quiet_home, plot, NIGHT)["raised"] if one["rule"] == "frost")
    phone = joined(new_phone, quiet_home, plot, "Ada")
    synced(phone)
    push(quiet_home, headers, plot, cold_morning(plot))
    synced(phone)
    phone.offline()
    at_time(phone, MORNING)
    page = phone.page
    asked = page.get_by_role("region", name="Did it freeze?")
    open_now(phone, asked)
    expect(asked).to_contain_text("Post showed \u22121.4\u00a0°C as its lowest", timeout=LONG)
    expect(asked.get_by_role("button", name="It froze")).to_have_class(re.compile("button-main"))
    expect(asked.get_by_role("button", name="It did not")).not_to_have_class(re.compile("button-main"))
    asked.get_by_role("button", name="It froze").click()
    expect(asked).to_have_count(0)

    phone.go("/warnings")
    earlier = page.get_by_role("region", name="Earlier")
    expect(earlier.get_by_role("link", name=re.compile(re.escape(frost["headline"])))).to_contain_text(
        "right", timeout=LONG
    )
    phone.offline(False)
    synced(phone)
    replies = of_type(quiet_home, plot, headers, "warning_reply")
    assert [(r["body"]["warning_id"], r["body"]["outcome"]) for r in replies] == [(frost["id"], "happened")]

    # Findings has the answer at once, and what the server says of all records; both again with no network.
    for offline in (False, True):
        phone.offline(offline)
        phone.go("/findings")
        judged = page.get_by_role("region", name="How good the warnings were")
        expect(judged).to_contain_text("By the answers on this phone 1 of 1 warning was right", timeout=LONG)
        again = judged.get_by_text("Frost tonight: asked again over all your records")
        again.click(timeout=LONG)
        # This rule, the published method, always, never.
        expect(judged.get_by_role("row", name=re.compile(r"^Right 1 \d 1 0$"))).to_be_visible()
        expect(judged.get_by_role("row", name=re.compile(r"^Missed 0 \d 0 1$"))).to_be_visible()
        expect(judged.get_by_role("img", name=re.compile("Chances that were given"))).to_be_visible()
    assert phone.errors == []


def test_the_evening_gives_the_chance_at_once_and_the_server_says_the_same(
    quiet_home: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    plot, headers = new_warned_plot(quiet_home)
    push(quiet_home, headers, plot, records_of_evening(plot, 9.0, 8.0)[:4])
    push(quiet_home, headers, plot, clear_nights(plot))
    quiet_home.here("warn", "--plot", plot)  # it learns
    phone = joined(new_phone, quiet_home, plot, "Ada")
    synced(phone)
    phone.offline()
    at_time(phone, NIGHT)
    page = phone.go("/evening")
    type_evening(page, "7", "5")
    told = page.get_by_role("region", name="Tonight", exact=True)
    expect(told).to_contain_text(
        "Reckoned from 10 clear nights of this plot, as the server has learned", timeout=LONG
    )
    verdict = told.locator(".night-chance").inner_text()
    lowest = told.get_by_text(re.compile("^In the open lowest")).inner_text()
    page.get_by_role("button", name="Save evening").click()
    expect(page.get_by_text(re.compile("^Saved"))).to_be_visible()
    expect(told.locator(".night-chance")).to_have_text(verdict)

    card = page.get_by_role("region", name="Tonight", exact=True)
    open_now(phone, card)
    expect(card).to_contain_text("only on this phone yet", timeout=LONG)
    expect(card).to_contain_text(verdict)
    expect(page.get_by_role("article").filter(has_text="Frost may hurt")).to_have_count(0)

    phone.offline(False)
    synced(phone)
    frost = next(one for one in warn(quiet_home, plot, NIGHT)["raised"] if one["rule"] == "frost")
    chance = re.search(r"chance ([^.;]+ %)", frost["headline"])
    assert chance is not None, frost["headline"]
    assert plain(verdict).endswith(f"chance {chance[1]}")
    # The server says "lowest of −1.2 °C in the open (95 % interval −3.4 to 1.0 °C)", the phone has the same three.
    figures = re.search(r"lowest of (\S+) °C in the open \(95 % interval (\S+) to (\S+) °C\)", frost["why"])
    assert figures is not None, frost["why"]
    assert re.findall(r"[−\d]*\d\.\d", plain(lowest)) == list(figures.groups())

    synced(phone)
    phone.go("/")
    theirs = page.get_by_role("article").filter(has_text=frost["headline"])
    expect(theirs).to_be_visible(timeout=LONG)
    expect(card).to_have_count(0)

    # A newer reading that only this phone has: its own figure stands in for the server's older one.
    phone.offline()
    at_time(phone, NIGHT + timedelta(minutes=50))
    phone.go("/evening")
    type_evening(page, "6", "4")
    page.get_by_role("button", name="Save evening").click()
    expect(page.get_by_text(re.compile("^Saved"))).to_be_visible()
    open_now(phone, card)
    expect(card).to_contain_text("read 22:30, only on this phone yet", timeout=LONG)
    expect(theirs).to_have_count(0)
    assert phone.errors == []


def clear_nights(plot_id: str) -> list[dict[str, Any]]:
    """Ten clear nights: the ten of FAO's worked example (Frost protection 2005, vol. 1, ch. 5), dew point left out."""
    evenings = [3.2, 0.8, 0.2, 2.6, 4.4, 5.2, 2.7, 1.2, 4.5, 5.6]
    lowest = [-3.1, -5.0, -6.3, -5.4, -4.0, -2.5, -4.8, -5.0, -4.4, -3.3]
    found = [reading(plot_id, "70", OPEN_AIR, "2026-04-01T07:00:00+01:00", 1.0)]
    for n, (air, low) in enumerate(zip(evenings, lowest, strict=True)):
        day = datetime(2026, 4, 1, 20, 45, tzinfo=ZoneInfo(ZONE)) + timedelta(days=n)
        morning = day.replace(hour=7, minute=0) + timedelta(days=1)
        found.append(
            {"type": "evening", "id": id_of(plot_id, f"5{n}"),
             "set": {"place_id": id_of(plot_id, BED), "observed_at": day.isoformat(),
                     "air": {"value": air, "unit": "degC"}, "dew": {"value": air - 4, "unit": "degC"},
                     "sky": "clear", "wind": "calm"}}
        )  # fmt: skip
        found.append(reading(plot_id, f"6{n}", OPEN_AIR, morning.isoformat(), low))
    return found


def plain(words: str) -> str:
    return words.replace("\u00a0", " ")


def test_two_phones_set_one_rule_with_no_network_and_both_are_heard(
    quiet_home: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    plot, headers = new_warned_plot(quiet_home)
    ada = joined(new_phone, quiet_home, plot, "Ada")
    ben = joined(new_phone, quiet_home, plot, "Ben")
    for phone in (ada, ben):
        synced(phone)
        phone.offline()
    page = ada.go("/watch/frost")
    page.get_by_label(re.compile("What the harm costs")).fill("40", timeout=LONG)
    expect(page.get_by_text(re.compile("from 10 % on"))).to_be_visible()
    save_rule(page)
    page = ben.go("/watch/frost")
    page.get_by_label("Keep quiet at night").check(force=True, timeout=LONG)
    page.get_by_label("From", exact=True).fill("21:30")
    save_rule(page)

    for phone in (ada, ben):
        phone.offline(False)
        synced(phone)
    [watch] = of_type(quiet_home, plot, headers, "watch")
    body = watch["body"]
    assert (body["rule"], body["settings"], body["quiet_from"], body["quiet_to"]) == (
        "frost",
        {"loss": 40},
        "21:30",
        "06:00",
    )
    assert watch.get("conflicts", []) == []
    # Ada's phone shows what Ben chose once it has been home again.
    page = synced(ada)
    ada.go("/watch/frost")
    expect(page.get_by_label("From", exact=True)).to_have_value("21:30", timeout=LONG)
    expect(page.get_by_label(re.compile("What the harm costs"))).to_have_value("40")
    assert ada.errors == ben.errors == []


def save_rule(page: Page) -> None:
    page.get_by_role("button", name="Save", exact=True).click()
    expect(page.get_by_text(re.compile("^Saved on this phone"))).to_be_visible(timeout=LONG)


def test_twice_the_text_size_and_the_keyboard_are_enough(
    quiet_home: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    plot, headers = new_warned_plot(quiet_home)
    push(quiet_home, headers, plot, records_of_evening(plot, 4.0, 3.0))
    frost = next(one for one in warn(quiet_home, plot, NIGHT)["raised"] if one["rule"] == "frost")
    phone = joined(new_phone, quiet_home, plot, "Ada")
    at_time(phone, NIGHT)
    page = synced(phone)
    for path in ("/", f"/warning/{frost['id']}", "/warnings", "/watch", "/watch/frost", "/evening"):
        phone.go(path)
        page.get_by_role("heading", level=1).wait_for()
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        settle(page)
        # WCAG 2.2, 1.4.4 and 1.4.10: nothing runs out at the side; 2.5.8 with our own 48 px for gloves.
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        page.evaluate("document.documentElement.style.fontSize = ''")
        small = page.evaluate(
            """[...document.querySelectorAll('main a, main button, main summary')]
               .map((one) => [one.textContent, one.getBoundingClientRect()])
               .filter(([, box]) => box.height > 0 && (box.height < 47.5 || box.width < 47.5))
               .map(([words]) => words)"""
        )
        assert small == [], path

    phone.go("/")
    link = page.get_by_role("article").first.get_by_role("link", name=frost["headline"])
    link.wait_for(timeout=LONG)
    for _ in range(12):
        page.keyboard.press("Tab")
        if link.evaluate("one => one === document.activeElement"):
            break
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1, name="Frost tonight")).to_be_focused(timeout=LONG)
    page.get_by_role("button", name="Covered", exact=True).press("Space")
    expect(page.get_by_text(re.compile("Covered by Ada"))).to_be_visible()
    assert phone.errors == []
