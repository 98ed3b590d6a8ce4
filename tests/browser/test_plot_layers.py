"""The numbers printed on the beds, week by week and layer by layer, are what the server makes of the same records."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.browser.disk import holds_records
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.sketch_hands import patiently, printed, tenth
from tests.browser.small_plot import LONG
from tests.browser.test_morning import joined
from underboard.core.agronomy.counts.count_summary import mean_with_limits
from underboard.core.agronomy.counts.poisson_interval import garwood
from underboard.core.findings.pressure import FEWEST_BOARDS
from underboard.core.records.counted import Body, number_of, standing
from underboard.core.records.derived import trap_validity

pytestmark = pytest.mark.browser
ZONE = ZoneInfo("Europe/London")


@dataclass
class Demo:
    """The demo plot as the server has it."""

    server: ServerProcess
    plot: str
    records: dict[str, list[dict[str, Any]]]
    rounds: list[dict[str, Any]]

    def label(self, place_id: str | None) -> str:
        return next(str(p["body"]["label"]) for p in self.records["place"] if p["id"] == place_id)

    def station(self, station_id: str) -> dict[str, Any]:
        return next(s["body"] for s in self.records["station"] if s["id"] == station_id)


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory, demo_in: Callable[[Path], str]) -> Iterator[Demo]:
    server = ServerProcess(tmp_path_factory.mktemp("demo"))
    plot = demo_in(server.data)
    server.start()
    headers = server.bearer(plot)
    of_type: dict[str, list[dict[str, Any]]] = defaultdict(list)
    for record in server.records(plot, headers):
        if not record["deleted"]:
            of_type[record["type"]].append(record)
    findings = server.call("GET", f"/api/v1/plots/{plot}/findings/slugs", headers=headers)
    yield Demo(server, plot, of_type, findings["rounds"])
    server.stop()


@pytest.fixture(scope="module")
def phone(demo: Demo, playwright: Playwright, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Phone]:
    """A phone with the whole plot on it; the tests look at it and change nothing."""

    def make(url: str, name: str) -> Phone:
        return Phone(playwright, tmp_path_factory.mktemp("profile") / name, url)

    phone = joined(make, demo.server, demo.plot, "maren", "Maren")
    everything = sum(len(of) for of in demo.records.values())
    holds_records(phone.page, everything)  # two seasons take a few pages of pull
    yield phone
    phone.close()


@pytest.fixture
def page(phone: Phone) -> Page:
    page = phone.go("/plot")
    expect(page.locator(".sketch[data-week] g[data-place]").first).to_be_attached(timeout=LONG)
    return page


def day_of(at: str) -> date:
    return datetime.fromisoformat(at).astimezone(ZONE).date()


def last(month: int, day: int) -> date:
    """That day in the newest year in which its week is over; the plot has two seasons, the newer one in it."""
    today = datetime.now(ZONE).date()
    return date(today.year if today > date(today.year, month, day + 7) else today.year - 1, month, day)


def monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def show_week(page: Page, start: date) -> None:
    """Move the slider to the week that begins on this Monday."""
    slider = page.get_by_role("slider")
    last = int(slider.get_attribute("max") or 0)
    this_week = monday(datetime.now(ZONE).date())
    slider.fill(str(last - (this_week - start).days // 7))
    expect(page.locator(".week-words")).to_contain_text(f"{start.day} {start:%b}")
    expect(page.locator(f'.sketch[data-week="{start}"]')).to_be_attached(timeout=LONG)


def show_layer(page: Page, name: str) -> None:
    page.get_by_role("radio", name=name).check()


def marks(page: Page) -> dict[str, tuple[str, str]]:
    """Name of each place → what is printed on it, and what its button says aloud."""
    labels = page.locator("g[data-place]").evaluate_all("(all) => all.map((one) => one.ariaLabel)")
    printed = page.locator(".bed-words").evaluate_all(
        "(all) => all.map((one) => one.querySelector('.bed-value')?.textContent ?? '')"
    )
    assert len(labels) == len(printed) > 0
    split = [label.partition(". ") for label in labels]
    return {name: (value, aloud) for (name, _, aloud), value in zip(split, printed, strict=True)}


# Words of beds that a station lies on; the letters alone, without the room that a line keeps above and below them.
COVERED = """() => {
  const boxes = [...document.querySelectorAll('.spot .glyph-plank, .spot .glyph-pot')]
    .map((one) => one.getBoundingClientRect());
  const letters = (one) => {
    const { left, right, top, bottom } = one.getBoundingClientRect();
    const [x, y] = one.hasAttribute('transform') ? [right - left, 0] : [0, bottom - top];
    return { left: left + x / 5, right: right - x / 5, top: top + y / 5, bottom: bottom - y / 5 };
  };
  const meet = (a, b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
  return [...document.querySelectorAll('.bed-words text')]
    .filter((words) => boxes.some((box) => meet(letters(words), box)))
    .map((words) => words.textContent);
}"""


def test_no_board_trap_or_thermometer_lies_on_a_name_or_a_number(page: Page) -> None:
    phone_size = page.viewport_size
    assert phone_size == {"width": 360, "height": 740}
    try:
        for size in (phone_size, {"width": 1280, "height": 860}):
            page.set_viewport_size(size)
            for layer in ("Slugs", "Wireworm", "Soil"):
                show_layer(page, layer)
                expect(page.locator(".bed-value").first).to_be_visible(timeout=LONG)
                assert page.locator(".spot").count() > 1
                assert page.evaluate(COVERED) == [], (size, layer)
                names = page.locator(".bed-name").all_text_contents()
                for label in ("Gate 1", "Wall 3", "Sea 4", "Long strip", "Tunnel"):
                    assert label in names, (size, layer)
    finally:
        page.set_viewport_size(phone_size)
        show_layer(page, "Slugs")  # the phone keeps the layer that was chosen


def plain_weeks(demo: Demo) -> list[date]:
    """Mondays of weeks whose rounds are all valid, with nothing to settle in them."""
    weeks: dict[date, list[dict[str, Any]]] = defaultdict(list)
    for one in demo.rounds:
        weeks[monday(day_of(one["observed_at"]))].append(one)
    return [
        week
        for week, of in sorted(weeks.items())
        if len(of) >= 2 and all(r["valid"] and not r["double_counts"] and not r["disputed"] for r in of)
    ]


def counts_by_place(demo: Demo, week: date) -> dict[str, list[int]]:
    """Every undisputed number of the week, by name of the place; which count stands is the server's rule."""
    walked = {r["round_id"] for r in demo.rounds if monday(day_of(r["observed_at"])) == week}
    turned: dict[tuple[str, str], list[Body]] = defaultdict(list)
    for count in demo.records["slug_count"]:
        if count["body"].get("round_id") in walked:
            turned[(count["body"]["round_id"], count["body"]["station_id"])].append(count)
    found: dict[str, list[int]] = defaultdict(list)
    for (_, station_id), records in turned.items():
        record, double = standing(records)
        number = None if double or record is None else number_of(record)
        if number is not None:
            found[demo.label(demo.station(station_id)["place_id"])].append(number)
    return found


def test_slugs_on_the_beds_are_the_findings_of_the_server(demo: Demo, page: Page) -> None:
    weeks = plain_weeks(demo)
    for week in (weeks[-1], weeks[len(weeks) // 2]):
        show_week(page, week)
        numbers = counts_by_place(demo, week)
        assert len(numbers) >= 10

        def as_the_server_says(numbers: dict[str, list[int]] = numbers, week: date = week) -> None:
            shown = marks(page)
            for name, of in numbers.items():
                value, aloud = shown[name]
                mean, (low, high) = sum(of) / len(of), limits(of, boards_in(demo, name))
                assert value == printed(mean), (name, week, aloud)
                words = (
                    f"{tenth(mean)} slugs a board (95 %: {tenth(low)} to {tenth(high)}) from {len(of)} turn"
                )
                assert words in aloud, (name, week)

        patiently(page, as_the_server_says)
        assert compared_with_rounds(demo, week, numbers) > 0


def compared_with_rounds(demo: Demo, week: date, numbers: dict[str, list[int]]) -> int:
    """Where every board gave a number each time, the mean of the week is the mean of its rounds' findings."""
    rounds = [r for r in demo.rounds if monday(day_of(r["observed_at"])) == week]
    compared = 0
    for name, of in numbers.items():
        if len(of) == len(rounds) * boards_in(demo, name):
            means = [m for r in rounds for place, m in r["by_place"].items() if demo.label(place) == name]
            assert sum(of) / len(of) == pytest.approx(sum(means) / len(rounds))
            compared += 1
    return compared


def boards_in(demo: Demo, name: str) -> int:
    of = [s["body"] for s in demo.records["station"] if s["body"]["kind"] == "slug_board"]
    return sum(demo.label(body["place_id"]) == name for body in of)


def limits(numbers: list[int], n_boards: int) -> tuple[float, float]:
    """The server's choice between its two laws, for the same numbers; many turns of a few boards are few boards."""
    if n_boards >= FEWEST_BOARDS and len(numbers) >= FEWEST_BOARDS:
        found = mean_with_limits(numbers)
        if found.clumped:
            assert found.low is not None and found.high is not None
            return found.low, found.high
    low, high = garwood(sum(numbers), 0.95)
    return low / len(numbers), high / len(numbers)


def test_what_waits_to_be_settled_is_marked_and_stands_at_the_side(demo: Demo, page: Page) -> None:
    doubled = next(r for r in reversed(demo.rounds) if r["double_counts"])
    show_week(page, monday(day_of(doubled["observed_at"])))
    name = demo.label(demo.station(doubled["double_counts"][0])["place_id"])
    place = page.locator(f'g[data-place][aria-label^="{name}. "]')
    if not doubled["valid"]:  # a frozen morning of winter: it gives no number, so there is none to settle
        expect(place).to_have_attribute("aria-label", re.compile(r"\. (?!.*to be settled)"), timeout=LONG)
        return
    expect(place).to_have_attribute("aria-label", re.compile("to be settled"), timeout=LONG)
    expect(page.locator(".bed-words .flag").first).to_be_attached()
    place.press("Enter")
    sheet = page.get_by_role("dialog")
    expect(sheet).to_contain_text(re.compile(r"At the side until somebody settles it: \d+ / \d+"))


def test_wireworm_limits_and_soil_are_those_of_valid_lifts_and_readings(demo: Demo, page: Page) -> None:
    week = monday(last(6, 8))
    sunday = week + timedelta(days=6)
    show_week(page, week)
    show_layer(page, "Wireworm")
    lifts: dict[str, list[int]] = defaultdict(list)
    for record in demo.records["trap_catch"]:
        body = record["body"]
        if "observed_at" not in body or record["conflicts"]:
            continue
        if not sunday - timedelta(days=365) <= day_of(body["observed_at"]) <= sunday:
            continue
        judged = trap_validity(
            set_at=datetime.fromisoformat(body["set_at"]),
            lifted_at=datetime.fromisoformat(body["observed_at"]),
            soil_c=body["soil"]["value"],
            state=body["state"],
        )
        if judged.valid:
            lifts[demo.label(demo.station(body["station_id"])["place_id"])].append(body["wireworms"])
    assert len(lifts) >= 3

    def limits_of_valid_lifts() -> None:
        shown = marks(page)
        for name, caught in lifts.items():
            assert shown[name][0] == printed(garwood(sum(caught), 0.95)[1] / len(caught)), name
            assert f"in {len(caught)} valid trap" in shown[name][1]

    patiently(page, limits_of_valid_lifts)

    show_layer(page, "Soil")
    soil: dict[str, list[float]] = defaultdict(list)
    for record in demo.records["temperature"]:
        body = record["body"]
        station = demo.station(body["station_id"])
        if (
            station["exposure"] == "soil"
            and "current" in body
            and week <= day_of(body["observed_at"]) <= sunday
        ):
            soil[demo.label(station["place_id"])].append(body["current"]["value"])
    assert soil

    def means_of_readings() -> None:
        shown = {name: value for name, (value, _) in marks(page).items() if value}
        assert set(shown) == set(soil)
        for name, values in soil.items():
            assert float(shown[name]) == pytest.approx(sum(values) / len(values), abs=0.051)

    patiently(page, means_of_readings)


def test_treatments_crops_and_what_stood_where(demo: Demo, page: Page) -> None:
    week = monday(last(5, 20))
    year = week.year
    sunday = week + timedelta(days=6)
    show_week(page, week)
    show_layer(page, "Treated")
    expected: dict[str, int] = {}
    for record in demo.records["treatment"]:
        ago = (sunday - day_of(record["body"]["observed_at"])).days
        for place_id in record["body"]["place_ids"] if 0 <= ago <= 42 else ():
            name = demo.label(place_id)
            expected[name] = min(ago, expected.get(name, ago))
    assert len(expected) >= 4

    def days_since() -> None:
        shown = {name: value for name, (value, _) in marks(page).items() if value}
        assert shown == {name: f"{ago} d" for name, ago in expected.items()}

    patiently(page, days_since)
    show_layer(page, "Crops")

    def what_stands() -> None:
        assert marks(page)["Long strip"][1] == "Potato"  # planted in April, harvested at the end of July

    patiently(page, what_stands)
    page.locator('g[data-place][aria-label^="Long strip"]').press("Enter")
    sheet = page.get_by_role("dialog")
    this, before = (sheet.get_by_role("row", name=re.compile(rf"^{one} Potato")) for one in (year, year - 1))
    expect(this).to_have_count(1)
    expect(before).to_have_count(1)
    broken = next(
        p["body"]["broken_year"] for p in demo.records["place"] if p["body"]["label"] == "Long strip"
    )
    expect(this.get_by_role("cell").last).to_have_text(str(year - broken))
    expect(sheet).to_contain_text(f"Potato stood here in {year - 1}, {year}.")
