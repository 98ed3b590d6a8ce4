"""Sheets of paper: printed whole on A4 and A5, with a square code that leads back; keyed in fast and checked."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Locator, Page, Playwright, expect

from tests.browser.disk import ROWS
from tests.browser.paper_plot import N_BOARDS, join, paper_plot, station_id, today, walked_on
from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, counts_of, sync

pytestmark = pytest.mark.browser

#: ISO 216, in points of 1/72 inch.
SIZES = {"A4": (595.3, 841.9), "A5": (419.5, 595.3)}
KEY_IN = re.compile("Key in a filled sheet")


@pytest.fixture(scope="module")
def phone(
    home: ServerProcess, playwright: Playwright, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Phone]:
    """One phone for the whole file, on a plot of its own."""
    made = Phone(playwright, tmp_path_factory.mktemp("phone") / "ada", home.url)
    plot_id = paper_plot(home)
    join(made, home, plot_id, "Ada")
    yield made
    made.close()


def plot_of(phone: Phone) -> str:
    """The plot as the square code names it."""
    link = sheet(phone).get_by_role("link", name=KEY_IN).get_attribute("href") or ""
    return link.split("p=")[1]


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
    link = page.get_by_role("link", name=KEY_IN)
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


def key_in(phone: Phone, address: str, clock: str, who: str) -> Page:
    """Open a sheet as its square code does, and write its head."""
    page = phone.go(address)
    drawn(page)
    page.get_by_label("Time", exact=True).fill(clock, timeout=LONG)
    page.get_by_label("Who walked").fill(who)
    return page


#: As many rows in the draft on the disk as on the screen.
DRAFT_IS_KEPT = f"""async () => {{
  const shown = [...document.querySelectorAll('.key-cell-main')].filter((one) => one.textContent !== '').length;
  return (await ({ROWS})('drafts')).some(({{ key, value }}) => key.startsWith('keying:')
    && Object.keys(value.cells).length === shown);
}}"""


def drawn(page: Page) -> None:
    """The heading takes the focus once the screen is drawn; a cell chosen before that would lose it."""
    expect(page.get_by_role("heading", level=1)).to_be_focused(timeout=LONG)


def address_of(phone: Phone, kind: str = "Dawn round") -> str:
    """Where the square code of a sheet leads, for the day that the tests write into it."""
    link = sheet(phone, kind).get_by_role("link", name=KEY_IN).get_attribute("href") or ""
    assert link
    return re.sub(r"\bd=[\d-]+", f"d={walked_on()}", link)


def cell(page: Page, board: str, column: str) -> Locator:
    return page.get_by_role("button", name=re.compile(rf"^{board}, {column}:"))


def type_rows(page: Page, keys: list[str]) -> None:
    cell(page, "Board 1", "Slugs").click()
    for key in keys:
        page.keyboard.press(key)


#: Board 1 to 26 as written: numbers, and the three marks, one row left empty.
MARKS = "12 0 n x s 3 - 1 1 2 4 0 0 7 n n 1 2 3 x 5 6 0 1 2 9"
WRITTEN = ["" if text == "-" else text for text in MARKS.split()]
SUM = sum(int(text) for text in WRITTEN if text.isdigit())


def keys_of(written: list[str]) -> list[str]:
    keys: list[str] = []
    for text in written:
        keys += [text] if text in {"n", "x", "s"} else [*text, "Enter"]
    return keys


def test_a_filled_sheet_is_keyed_in_checked_and_saved_as_a_round(home: ServerProcess, phone: Phone) -> None:
    plot = plot_of(phone)
    page = key_in(phone, address_of(phone), "00:01", "Gran")
    page.get_by_role("radio", name="Damp").check()
    keys = keys_of(WRITTEN)
    type_rows(page, keys[:20])
    expect(cell(page, "Board 4", "Slugs")).to_have_text("not turned")
    # A reload in the middle loses nothing that was on the disk: the figures, the head and the place are as they were.
    until(page, DRAFT_IS_KEPT)
    page.reload(wait_until="domcontentloaded")
    drawn(page)
    expect(page.get_by_label("Who walked")).to_have_value("Gran", timeout=LONG)
    page.locator("[data-at]").click()
    for key in keys[20:]:
        page.keyboard.press(key)
    # Enter in the last row leads to the sum; eggs are to the right of the slugs.
    expect(page.get_by_label("Sum written on the sheet")).to_be_focused()
    cell(page, "Board 1", "Eggs").click()
    page.keyboard.press("2")
    expect(page.get_by_role("main")).to_contain_text(f"{SUM} slugs on 22 boards")
    page.get_by_label("Sum written on the sheet").fill(str(SUM + 2))
    expect(page.get_by_role("main")).to_contain_text("add up to 2 fewer than the sheet says")
    page.get_by_label("Sum written on the sheet").fill(str(SUM))
    expect(page.get_by_role("main")).to_contain_text("add up to the same")
    page.get_by_role("button", name="Save the sheet").click()
    expect(page.get_by_role("main")).to_contain_text("26 records are on this phone", timeout=LONG)
    sync(phone)
    counts = {c["body"]["station_id"]: c["body"] for c in counts_of(home, plot)}
    said = [counts.get(station_id(plot, f"Board {n}")) for n in range(1, N_BOARDS + 1)]
    states = {
        "n": ("none_found", 0),
        "x": ("not_turned", None),
        "s": ("spoiled", None),
        "0": ("none_found", 0),
    }
    assert [one and (one["state"], one.get("count")) for one in said] == [
        states.get(text, ("counted", int(text)) if text.isdigit() else None) for text in WRITTEN
    ]
    assert said[0] is not None and (said[0]["egg_clusters"], said[0]["observer"]) == (2, "Gran")
    walks = [r for r in home.records(plot, bearer(home, plot)) if r["type"] == "round"]
    assert [(w["body"]["observer"], w["body"]["surface"], w["body"]["valid"]) for w in walks] == [
        ("Gran", "damp", True)
    ]
    assert walks[0]["body"]["observed_at"].startswith(f"{walked_on()}T00:01:00")


def test_a_sheet_of_a_walk_already_counted_is_put_beside_it_and_overwrites_nothing(
    home: ServerProcess, phone: Phone
) -> None:
    plot = plot_of(phone)
    before = counts_of(home, plot)
    page = key_in(phone, address_of(phone), "00:02", "Cy")
    # By the pad, as on a phone.
    cell(page, "Board 1", "Slugs").tap()
    pad = page.get_by_role("group", name=re.compile("Keys for"))
    for name in ("9", "Next", "None here", "5", "Take back", "4", "Next"):
        pad.get_by_role("button", name=name, exact=True).tap()
    page.get_by_role("button", name="Save the sheet").click()
    expect(page.get_by_role("main")).to_contain_text("already: 00:01, by Gran. 3 boards")
    page.get_by_role("button", name="Save as keyed").click()
    expect(page.get_by_role("alert")).to_contain_text("Say first which it is")
    page.get_by_role("radio", name=re.compile("The same walk")).check()
    page.get_by_role("button", name="Save as keyed").click()
    expect(page.get_by_role("main")).to_contain_text("3 boards are counted twice now", timeout=LONG)
    sync(phone)
    after = counts_of(home, plot)
    assert len(after) == len(before) + 3
    kept = {one["id"]: one["body"] for one in after}
    assert all(kept[one["id"]] == one["body"] for one in before)
    mine = {c["body"]["station_id"]: c["body"] for c in after if c["body"]["observer"] == "Cy"}
    assert [mine[station_id(plot, f"Board {n}")].get("count") for n in (1, 2, 3)] == [9, 0, 4]
    # 12 and 9, 0 and none, "none" and 4: numbers that two people gave wait for somebody to say which stands.
    main = phone.go("/sync").get_by_role("main")
    expect(main).to_contain_text("Board 1 was counted 2 times", timeout=LONG)


def test_the_same_sheet_keyed_in_twice_is_noticed(phone: Phone) -> None:
    page = key_in(phone, address_of(phone), "00:01", "Gran")
    type_rows(page, keys_of(WRITTEN[:8]))
    page.get_by_role("button", name="Save the sheet").click()
    expect(page.get_by_role("main")).to_contain_text("probably keyed in before")


def test_thermometers_and_traps_are_keyed_in_too(home: ServerProcess, phone: Phone) -> None:
    plot = plot_of(phone)
    page = key_in(phone, address_of(phone, "Thermometers"), "00:03", "Gran")
    cell(page, "Glass 1", "Now °C").click()
    for key in [*"4.5", "Enter", *"12", "Enter", "-", "3", "y", "Enter", "6"]:
        page.keyboard.press(key)
    page.get_by_role("button", name="Save the sheet").click()
    expect(page.get_by_role("main")).to_contain_text("2 records are on this phone", timeout=LONG)
    page = key_in(phone, address_of(phone, "Traps"), "00:04", "Gran")
    cell(page, "Trap 1", "Wireworms").click()
    for key in ["2", "y", "Enter", "n"]:
        page.keyboard.press(key)
    page.get_by_role("button", name="Save the sheet").click()
    expect(page.get_by_role("main")).to_contain_text("2 records are on this phone", timeout=LONG)
    sync(phone)
    found = home.records(plot, bearer(home, plot))
    glass = [r["body"] for r in found if r["type"] == "temperature"]
    first = next(g for g in glass if g["station_id"] == station_id(plot, "Glass 1"))
    assert (len(glass), first["min"], first["reset_done"]) == (2, {"value": -3, "unit": "degC"}, True)
    lifts = [r for r in found if r["type"] == "trap_catch"]
    # The records that were made when the traps were set are completed; there are no others.
    assert {lift["id"] for lift in lifts} == {
        station_id(plot, f"set {station_id(plot, f'Trap {n}')}") for n in (1, 2)
    }
    assert sorted((r["body"]["state"], r["body"]["wireworms"], r["body"]["rebaited"]) for r in lifts) == [
        ("counted", 2, True),
        ("none_found", 0, False),
    ]


def test_a_sheet_of_another_plot_is_not_keyed_in_here(phone: Phone) -> None:
    page = phone.go("/paper/key?k=dawn&d=2026-05-10&o=a1b2c3&p=0193e2a4-0000-7000-8000-000000000001")
    expect(page.get_by_role("main")).to_contain_text("This sheet is of another plot", timeout=LONG)
    assert page.get_by_role("button", name="Save the sheet").count() == 0
    page = phone.go("/paper/key?k=snails")
    expect(page.get_by_role("main")).to_contain_text("names no sheet", timeout=LONG)


def test_keys_faster_than_the_screen_are_all_taken(phone: Phone) -> None:
    """Two hundred keys in one go, before anything can be drawn between them."""
    page = key_in(phone, address_of(phone).replace(walked_on(), "2026-05-11"), "06:00", "Gran")
    page.get_by_label("Who walked").fill("Fast")
    cell(page, "Board 1", "Slugs").click()
    keys = [key for n in range(1, N_BOARDS + 1) for key in (*str(n), "Enter")]
    page.evaluate(
        "keys => { const grid = document.querySelector('.key-grid');"
        "for (const key of keys) grid.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true })) }",
        keys,
    )
    expect(page.get_by_role("main")).to_contain_text(f"{sum(range(1, N_BOARDS + 1))} slugs on 26 boards")
