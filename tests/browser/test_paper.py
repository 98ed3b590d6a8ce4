"""Sheets of paper: printed whole on A4 and A5, with a square code that leads back; keyed in fast and checked."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Page, Playwright, expect

from tests.browser.paper_plot import N_BOARDS, join, paper_plot, today
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG

pytestmark = pytest.mark.browser

#: ISO 216, in points of 1/72 inch.
SIZES = {"A4": (595.3, 841.9), "A5": (419.5, 595.3)}


@pytest.fixture(scope="module")
def phone(
    home: ServerProcess, playwright: Playwright, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Phone]:
    """One phone for the whole file, on a plot of its own."""
    made = Phone(playwright, tmp_path_factory.mktemp("phone") / "ada", home.url)
    plot_id = paper_plot(home)
    join(made, home, plot_id, "Ada")
    made.plot_id = plot_id  # type: ignore[attr-defined]
    yield made
    made.close()


def sheet(phone: Phone, kind: str = "Dawn round", paper: str = "A4") -> Page:
    page = phone.go("/paper")
    page.get_by_role("radio", name=kind, exact=True).check(timeout=LONG)
    page.get_by_role("radio", name=paper, exact=True).check()
    expect(page.locator(f".leaf-{paper.lower()}").first).to_be_visible()
    return page


def pdf_pages(page: Page) -> list[tuple[float, float]]:
    """The sizes of the pages that Chromium itself prints, in points."""
    data = page.pdf(prefer_css_page_size=True)
    boxes = re.findall(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)\s*\]", data)
    assert len(re.findall(rb"/Type\s*/Page\b", data)) == len(boxes)
    return [(float(w), float(h)) for w, h in boxes]


CUT = """() => [...document.querySelectorAll('.leaf')].flatMap((leaf) => {
  const edge = leaf.getBoundingClientRect();
  const style = getComputedStyle(leaf);
  const pad = (side) => parseFloat(style['padding' + side]);
  const inside = (box) => box.left >= edge.left + pad('Left') - 0.6 && box.right <= edge.right - pad('Right') + 0.6
    && box.top >= edge.top + pad('Top') - 0.6 && box.bottom <= edge.bottom - pad('Bottom') + 0.6;
  const parts = [...leaf.querySelectorAll('tr, th, td, li, svg, figcaption, p, .leaf-box')];
  const cut = parts.filter((part) => !inside(part.getBoundingClientRect()));
  const tight = parts.filter((part) => part.scrollWidth > part.clientWidth + 1 && part.clientWidth > 0
    && !part.matches('.leaf-name'));
  return [...cut.map((part) => 'outside: ' + part.outerHTML.slice(0, 90)),
    ...tight.map((part) => 'too wide: ' + part.outerHTML.slice(0, 90))];
})"""


@pytest.mark.parametrize(
    ("kind", "paper", "pages"),
    [
        ("Dawn round", "A4", 1),
        ("Dawn round", "A5", 2),
        ("Traps", "A4", 1),
        ("Traps", "A5", 1),
        ("Thermometers", "A5", 1),
    ],
)
def test_a_sheet_prints_whole(phone: Phone, kind: str, paper: str, pages: int) -> None:
    page = sheet(phone, kind, paper)
    sizes = pdf_pages(page)
    assert len(sizes) == pages
    for size in sizes:
        assert size == pytest.approx(SIZES[paper], abs=1.5)
    page.emulate_media(media="print")
    try:
        assert page.evaluate(CUT) == []
        box = page.locator(".leaf-table td.leaf-number .leaf-box").first.bounding_box()
        assert box is not None
        # Room for a wet pencil: 7 mm and more of 25.4/96 mm pixels.
        assert min(box["width"], box["height"]) >= 6.9 * 96 / 25.4
        expect(page.get_by_role("button", name="Print")).to_be_hidden()
        expect(page.get_by_role("navigation")).to_be_hidden()
    finally:
        page.emulate_media(media="null")


def test_the_rows_are_the_boards_in_walking_order(phone: Phone) -> None:
    page = sheet(phone, "Dawn round", "A5")
    names = page.locator(".leaf tbody th > span").all_text_contents()
    assert names == [f"Board {n}" for n in range(1, N_BOARDS + 1)]
    heads = page.locator(".leaf").first.locator("thead th").all_text_contents()
    assert heads[:6] == ["Board", "Slugs", "None here", "Could not turn", "Spoiled", "Eggs"]


def test_a_camera_reads_the_square_code(phone: Phone) -> None:
    """ZXing reads the picture; a corner is dirty, as paper gets."""
    page = sheet(phone)
    page.set_viewport_size({"width": 900, "height": 1200})
    try:
        picture = Image.open(io.BytesIO(page.locator(".leaf-corner svg").screenshot()))
    finally:
        page.set_viewport_size({"width": 360, "height": 740})
    side = picture.width
    picture.paste("white", (side * 6 // 10, side * 6 // 10, side * 7 // 10, side * 7 // 10))
    found = zxingcpp.read_barcodes(picture)
    link = page.get_by_role("link", name=re.compile("Key in a filled sheet"))
    assert [code.text for code in found] == [f"{phone.url}{link.get_attribute('href')}"]
    assert f"k=dawn&d={today()}" in found[0].text


def test_sheets_are_made_with_no_network(phone: Phone) -> None:
    phone.offline()
    try:
        page = sheet(phone, "Dawn round", "A4")
        assert len(pdf_pages(page)) == 1
        expect(page.locator(".leaf-corner path")).to_have_attribute("d", re.compile("^M0 0h7"))
    finally:
        phone.offline(False)
