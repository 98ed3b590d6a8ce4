"""Findings on the demo plot: pictures looked at closer, read, put beside last year, and taken home as files."""

from __future__ import annotations

import csv
import io
import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from PIL import Image, ImageColor
from playwright.sync_api import CDPSession, FloatRect, Locator, Page, Playwright, expect

from tests.browser.disk import holds_records
from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG
from tests.browser.test_morning import joined

pytestmark = pytest.mark.browser
ZONE = ZoneInfo("Europe/London")
HALF_A_YEAR = 183  # what the picture shows first
#: Whatever the page's policy refuses is told to the page; kept from the very beginning.
REFUSED = """document.addEventListener('securitypolicyviolation',
  (event) => (window.refused ??= []).push(event.violatedDirective))"""
#: The picture of a chart as the screen has it, small enough to compare.
PIXELS = "(canvas) => canvas.toDataURL()"


@dataclass
class Season:
    """The phone with the demo plot on it, and what the server makes of the same rounds."""

    phone: Phone
    rounds: dict[str, dict[str, Any]]


@pytest.fixture(scope="module")
def season(
    playwright: Playwright, tmp_path_factory: pytest.TempPathFactory, demo_in: Callable[[Path], str]
) -> Iterator[Season]:
    folder = tmp_path_factory.mktemp("findings")
    server = ServerProcess(folder / "data").without_jobs()
    plot = demo_in(server.data)
    server.start()
    headers = server.bearer(plot)
    rounds = server.call("GET", f"/api/v1/plots/{plot}/findings/slugs", headers=headers)["rounds"]
    records = len([record for record in server.records(plot, headers) if not record["deleted"]])

    def make(url: str, name: str = "phone", **options: Any) -> Phone:
        return Phone(playwright, folder / name, url, **options)

    phone = joined(make, server, plot, "maren", "Maren")
    phone.context.add_init_script(REFUSED)
    holds_records(phone.page, records)
    starts_offline(phone.page)
    yield Season(phone, {day_of(one["observed_at"]): one for one in rounds if one["n_boards"]})
    phone.close()
    server.stop()


def day_of(at: str) -> str:
    return datetime.fromisoformat(at).astimezone(ZONE).date().isoformat()


@pytest.fixture
def page(season: Season) -> Iterator[Page]:
    page = season.phone.go("/findings")
    expect(picture(page, "slug-pressure").locator(".u-over")).to_be_visible(timeout=LONG)
    yield page
    assert page.evaluate("window.refused ?? []") == []
    assert season.phone.errors == []


def picture(page: Page, name: str) -> Locator:
    return page.locator(f"[data-picture={name}]")


def scrolled_to(page: Page, name: str) -> Locator:
    """A picture further down, which is made when it comes into sight: down the page until it is there."""
    for _ in range(400):
        if picture(page, name).count():
            break
        page.mouse.wheel(0, 400)
        page.wait_for_timeout(60)
    return picture(page, name)


def shown(of: Locator) -> Any:
    return of.locator("canvas").evaluate(PIXELS)


def changes(of: Locator, before: Any) -> None:
    """Wait until the picture is another one."""
    page = of.page
    for _ in range(600):
        if shown(of) != before:
            return
        page.wait_for_timeout(50)
    raise AssertionError("the picture stayed as it was")


def saved(of: Locator, kind: str) -> bytes:
    if of.get_by_text("Save this picture").evaluate("(summary) => !summary.parentElement.open"):
        of.get_by_text("Save this picture").click()
    with of.page.expect_download() as asked:
        of.get_by_role("button", name=kind).click()
    return asked.value.path().read_bytes()


def day_token(name: str) -> str:
    """A colour of the day's look as the one token file has it."""
    tokens = (Path(__file__).parents[2] / "pwa/src/styles/tokens.css").read_text(encoding="utf-8")
    found = re.search(rf"--{name}: (#[0-9a-f]{{6}})", tokens)
    assert found is not None
    return found[1]


def fingers(session: CDPSession, kind: str, *points: tuple[float, float]) -> None:
    """Real touches, through the browser's own input."""
    touches = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(points)]
    session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})


def sheet_of(chart: Locator) -> FloatRect:
    """Where the picture's sheet is; for a moment nowhere, while it is made anew."""
    for _ in range(600):
        if place := chart.locator(".u-over").bounding_box():
            return place
        chart.page.wait_for_timeout(50)
    raise AssertionError("no sheet")


def felt(page: Page, gesture: Callable[[], None], answered: Callable[[], bool]) -> None:
    """Make a gesture, and again as a person would where it met a picture that was just being made anew or moved, or
    where a slow machine drew two taps too far apart."""
    for _ in range(20):
        gesture()
        for _ in range(20):
            if answered():
                return
            page.wait_for_timeout(100)
    raise AssertionError(f"not felt: {gesture.__name__}")


def test_a_person_looks_closer_by_button_key_and_fingers_and_back(page: Page) -> None:
    chart = picture(page, "slug-pressure")
    chart.locator(".plot-sheet").scroll_into_view_if_needed()
    whole, back = shown(chart), chart.get_by_role("button", name="Show all of it")
    expect(back).to_be_disabled()
    chart.get_by_role("button", name="Look closer").click()
    changes(chart, whole)
    expect(back).to_be_enabled()
    chart.locator(".plot-sheet").press("0")
    expect(back).to_be_disabled()
    chart.locator(".plot-sheet").press("+")
    closer = shown(chart)
    chart.locator(".plot-sheet").press("ArrowLeft")
    changes(chart, closer)
    back.click()
    expect(back).to_be_disabled()
    touch = page.context.new_cdp_session(page)

    def middle() -> tuple[float, float]:
        box = sheet_of(chart)
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def pinch() -> None:
        x, y = middle()
        fingers(touch, "touchStart", (x - 20, y), (x + 20, y))
        for reach in (40, 60, 80):
            fingers(touch, "touchMove", (x - reach, y), (x + reach, y))
        fingers(touch, "touchEnd")

    def double_tap() -> None:
        at = middle()
        for _ in range(2):
            fingers(touch, "touchStart", at)
            fingers(touch, "touchEnd")

    felt(page, pinch, back.is_enabled)
    felt(page, double_tap, back.is_disabled)
    said = chart.locator(".plot-says")
    # A day with a mark alone says the mark; taps so far apart are no double tap. A picture that is just being made
    # anew, because more has been read meanwhile, hears no tap.
    for share in (3, 6, 9, 4, 7, 10) * 4:
        place = sheet_of(chart)
        page.touchscreen.tap(place["x"] + place["width"] * share / 12, place["y"] + place["height"] / 2)
        for _ in range(40):
            if re.search(r"slugs a board \(95 %: .+\), \d+ boards?", said.inner_text()):
                return
            page.wait_for_timeout(100)
    raise AssertionError(said.inner_text())


def test_the_numbers_are_those_the_server_reckons_and_every_file_holds(page: Page, season: Season) -> None:
    chart = picture(page, "slug-pressure")
    chart.get_by_text("The numbers", exact=True).click()
    rows = list(csv.DictReader(io.StringIO(saved(chart, "Numbers (CSV)").decode("utf-8-sig"))))
    expect(chart.locator("tbody tr")).to_have_count(len(rows))
    since = (datetime.now(ZONE).date() - timedelta(days=HALF_A_YEAR)).isoformat()
    assert len(rows) >= sum(day > since for day in season.rounds) > 35
    plain = [
        row
        for row in rows
        if row["standing"].startswith("valid") and row["boards_counted_twice_and_kept"] == "0"
    ]
    checked = 0
    for row in plain:
        theirs = season.rounds[row["day"]]
        if theirs["disputed"] or theirs["double_counts"]:
            continue
        checked += 1
        assert float(row["mean_slugs_per_board"]) == pytest.approx(theirs["mean"], abs=1e-5)
        assert float(row["low_95_percent_slugs_per_board"]) == pytest.approx(
            theirs["low"], rel=1e-4, abs=1e-5
        )
        assert int(row["boards_with_a_number"]) == theirs["n_boards"]
        assert int(row["boards_not_turned"]) == theirs["not_turned"]
        assert int(row["boards_spoiled"]) == theirs["spoiled"]
    assert checked > 15
    # In the amber of before sunrise too: what is saved is printed, or read by somebody else.
    page.evaluate("document.documentElement.dataset.look = 'dawn'")
    drawing = ElementTree.fromstring(saved(chart, "Drawing (SVG)"))
    ground = next(element.get("fill") for element in drawing.iter() if element.tag.endswith("rect"))
    assert ground == day_token("ground-raised")
    inks = {element.get("fill") for element in drawing.iter() if element.tag.endswith("text")}
    assert inks == {day_token("ink"), day_token("ink-soft")}
    tags = [element.tag.rpartition("}")[2] for element in drawing.iter()]
    assert tags.count("path") + tags.count("circle") >= len(rows) and "image" not in tags
    words = [element.text or "" for element in drawing.iter() if element.tag.endswith("text")]
    assert "Slug pressure" in words and any("The plot is invented." in text for text in words)
    pixels = Image.open(io.BytesIO(saved(chart, "Picture (PNG)")))
    assert (pixels.format, pixels.width) == ("PNG", 1920)
    assert pixels.convert("RGB").getpixel((2, 2)) == ImageColor.getrgb(day_token("ground-raised"))
    assert len(pixels.convert("RGB").getcolors(1 << 20) or []) > 50


def test_one_season_lies_over_another(page: Page) -> None:
    chart = scrolled_to(page, "slug-seasons")
    beside = chart.get_by_label("Beside it")
    expect(beside).to_be_visible(timeout=LONG)
    today = datetime.now(ZONE).date()
    newest = today.year - (today.month < 6)  # in spring the year has too few rounds to be compared
    year, other = str(newest), str(newest - 1)
    chart.get_by_label("Season", exact=True).select_option(year)
    beside.select_option(other)
    expect(chart.locator(".framed-sentence")).to_contain_text(f"{year} had")
    before = shown(chart)
    chart.get_by_label("Season", exact=True).select_option(other)
    expect(beside).not_to_have_value(other)  # none lies over itself
    beside.select_option(year)
    expect(chart.locator(".framed-sentence")).to_contain_text(re.compile(rf"{other} had .+{year} had"))
    changes(chart, before)
    rows = list(csv.DictReader(io.StringIO(saved(chart, "Numbers (CSV)").decode("utf-8-sig"))))
    told = {row["middle_day_of_week"][:4] for row in rows}
    assert {year, other} <= told <= {year, other, str(today.year)}


def test_both_looks_and_every_picture_with_no_network(page: Page, season: Season) -> None:
    season.phone.offline()
    try:
        shown, saved_on = {}, set()
        for look in ("dawn", "day"):
            page.evaluate("(look) => localStorage.setItem('underboard.look', look)", look)
            page.reload(wait_until="domcontentloaded")
            chart = picture(page, "slug-pressure")
            expect(chart.locator(".u-over")).to_be_visible(timeout=LONG)
            shown[look] = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
            drawing = saved(chart, "Drawing (SVG)").decode()
            saved_on.add(re.findall(r'<rect [^>]*fill="(#\w+)"', drawing)[0])
        # What is saved is printed or sent: in the day's colours, whichever look is on.
        assert shown["dawn"] != shown["day"] and saved_on == {"#fffaf0"}
        for name in ("slug-beds", "slug-seasons", "temperatures", "coming-up", "wireworm-beds"):
            expect(scrolled_to(page, name).locator(".framed-sentence")).not_to_be_empty(timeout=LONG)
        assert page.evaluate("document.documentElement.scrollWidth") == 360
        expect(page.get_by_role("link", name="To the trials")).to_be_visible()
    finally:
        season.phone.offline(False)
