"""Every screen and every state of it that looks different, one after the other: of a full plot, and of an empty one."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Page

from tests.browser.photo_states import photos
from tests.browser.small_plot import LONG
from tests.browser.steps import goto, press, settle, sheets, turn_to

ROUTES = Path(__file__).parents[2] / "pwa" / "src" / "app" / "routes.ts"
LAYERS = ("Treated", "Soil")  # of five: the other three look like these and like the first


def paths_of_the_app() -> list[str]:
    return re.findall(r"path: '([^']+)'", ROUTES.read_text(encoding="utf-8"))


def full_plot(page: Page) -> Iterator[str]:
    for room in ROOMS:
        yield from room(page)
    for path, what in (
        ("/start", "first question, answered before"),
        ("/nothing", "an address that leads nowhere"),
    ):
        turn_to(page, path)
        settle(page)
        yield what


def now_and_round(page: Page) -> Iterator[str]:
    goto(page, "/")
    yield "/"
    press(page, re.compile("dawn round|Go on with the round"))
    page.get_by_role("button", name="One more slug").wait_for(timeout=LONG)
    settle(page)
    yield "/round/:id"
    for _ in range(2):
        press(page, "One more slug")
    yield from sheets(page, "round, counted", "None here")
    press(page, "Next board")
    yield "round, counted and going on"
    yield from sheets(page, "round", "Could not turn", "Settings of the round")
    press(page, "Finish")
    yield "end of the round"


def plot(page: Page) -> Iterator[str]:
    goto(page, "/plot")
    week_with_numbers(page)
    yield "/plot"
    for layer in LAYERS:
        page.get_by_role("radio", name=layer).check()
        settle(page)
        yield f"plot, layer {layer}"
    page.get_by_role("radio", name="Slugs").check()
    page.locator("g[data-place]").nth(8).press("Enter")
    settle(page)
    yield "plot, one bed"
    page.keyboard.press("Escape")
    yield from sheets(page, "plot", "Add a place", "About the plot")


def week_with_numbers(page: Page) -> None:
    """The newest one that has a number on a bed: of a week in winter there may be none."""
    page.locator(".sketch[data-week] g[data-place]").first.wait_for(timeout=LONG)
    settle(page)
    for _ in range(30):
        if page.locator(".bed-value").count():
            return
        page.get_by_role("button", name="A week earlier").click()
        settle(page)
    raise AssertionError("no bed has a number in half a year")


def editor(page: Page) -> Iterator[str]:
    press(page, "Edit sketch")
    yield "sketch editor, nothing chosen"
    page.locator("g[data-place]").nth(4).press("Enter")
    settle(page)
    yield "sketch editor, a bed chosen"
    yield from sheets(page, "sketch editor", "Bed")
    press(page, re.compile("^Walk"))
    yield "sketch editor, the walk"


def diary(page: Page) -> Iterator[str]:
    goto(page, "/diary")
    yield "/diary"
    yield from sheets(page, "diary", "Note", "Treatment", "Damage", "Soil cores")
    page.locator(".diary-entry, .entry").first.click()
    page.locator(".diary-past summary").click()
    page.locator(".past-list li").first.wait_for(timeout=LONG)
    settle(page)
    yield "diary, one entry and its past"
    page.keyboard.press("Escape")
    page.get_by_role("radio", name="Crops", exact=True).check()
    settle(page)
    yield "diary, crops"
    yield from sheets(page, "diary", "Start a crop", "What happened?")
    page.get_by_role("radio", name="Cultures", exact=True).check()
    settle(page)
    yield "diary, cultures"
    yield from sheets(page, "diary", "Start a culture", "Count drops", "How much for a bed?")


def findings(page: Page) -> Iterator[str]:
    goto(page, "/findings")
    # Pictures are drawn when they are scrolled to.
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    for _ in range(30):
        waiting = page.locator(".when-seen")
        if waiting.count() == 0:
            break
        waiting.first.scroll_into_view_if_needed()
        settle(page)
    yield "/findings"


def trials(page: Page) -> Iterator[str]:
    goto(page, "/trials")
    yield "/trials"
    page.get_by_role("main").get_by_role("link", name="Open", exact=True).first.click()
    page.locator(".trial-page").wait_for(timeout=LONG)
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")
    settle(page)
    yield "/trials/:id"
    yield from sheets(page, "a trial", "Change")
    goto(page, "/trials")
    page.get_by_role("main").get_by_role("link", name="Plan a trial").first.click()
    settle(page)
    yield "trials, the planner"


def paper(page: Page) -> Iterator[str]:
    goto(page, "/paper")
    yield "/paper"
    page.get_by_role("link", name=re.compile("^Key in a filled sheet")).press("Enter")
    page.locator("main h1").first.wait_for()
    settle(page)
    yield "/paper/key"


def desk(page: Page) -> Iterator[str]:
    """As wide as a laptop, where it is meant to be used."""
    phone_size = page.viewport_size
    page.set_viewport_size({"width": 1280, "height": 860})
    goto(page, "/desk")
    week_with_numbers(page)
    yield "/desk"
    page.keyboard.press("?")
    page.get_by_role("dialog", name="Keys").wait_for(timeout=LONG)
    settle(page)
    yield "desk, the keys"
    page.keyboard.press("Escape")
    if phone_size:
        page.set_viewport_size(phone_size)


def sync(page: Page) -> Iterator[str]:
    goto(page, "/sync")
    yield "/sync"
    press(page, "Let another phone in")
    page.get_by_role("dialog").wait_for()
    yield "sync, what another phone may do"
    press(page, "Make the code")
    # Whoever walks here may be offline.
    made = page.get_by_role("dialog").get_by_text("Good until")
    made.or_(page.get_by_text("cannot be reached from here")).wait_for(timeout=LONG)
    settle(page)
    yield "sync, a code for another phone"
    page.keyboard.press("Escape")
    page.locator("dialog[open]").first.wait_for(state="detached")


def files(page: Page) -> Iterator[str]:
    goto(page, "/files")
    notebook = "when,board,slugs\n03/05/2026,no such board,3\n"
    page.locator("input[type=file]").set_input_files(
        {"name": "notebook.csv", "mimeType": "text/csv", "buffer": notebook.encode()}
    )
    read = page.get_by_role("heading", name="How it is read")
    read.or_(page.get_by_text("can’t be reached")).wait_for(timeout=LONG)  # whoever walks here may be offline
    settle(page)
    yield "/files"


def traps(page: Page) -> Iterator[str]:
    goto(page, "/traps")
    yield "/traps"


def readings(page: Page) -> Iterator[str]:
    goto(page, "/readings")
    yield "/readings"
    press(page, "Read")
    yield "readings, the pad"
    for key in ("9", "9"):
        press(page, key)
    yield "readings, an unlikely value"


def evening(page: Page) -> Iterator[str]:
    goto(page, "/evening")
    yield "/evening"
    for slot, text in (("Air", "4"), ("Wet bulb", "3")):
        press(page, re.compile(f"^{slot}"))
        for key in text:
            press(page, key)
    page.get_by_role("radio", name="Clear", exact=True).check()
    page.get_by_role("radio", name="Calm", exact=True).check()
    settle(page)
    yield "evening, with its chance of frost"


def warnings(page: Page) -> Iterator[str]:
    goto(page, "/warnings")
    yield "/warnings"
    goto(page, "/warning/0190")
    yield "/warning/:id"
    goto(page, "/watch")
    yield "/watch"
    goto(page, "/watch/frost")
    page.get_by_role("textbox").first.fill("not a number")
    press(page, "Save")
    yield "/watch/:rule"


ROOMS = (
    now_and_round,
    plot,
    editor,
    diary,
    photos,
    paper,
    findings,
    trials,
    desk,
    sync,
    files,
    traps,
    readings,
    evening,
    warnings,
)


def empty_plot(page: Page) -> Iterator[str]:
    """From the first address to a plot with nothing but its name, a bed and a board."""
    yield "/join"
    press(page, "Join")
    page.get_by_label("Your name").wait_for(timeout=LONG)
    settle(page)
    press(page, "Next")
    yield "first question, a name is missing"
    page.get_by_label("Your name").fill("Hana")
    press(page, "Next")
    yield "/start"
    press(page, "Next")
    yield "where, a name is missing"
    page.get_by_label("Name of the plot").fill("Windmill strip")
    press(page, "Next")
    yield "what is on it"
    press(page, "Bed")
    press(page, "Next")
    yield "where the boards lie"
    press(page, re.compile("^One more board"))
    press(page, "Next")
    press(page, "Soil")
    yield "which thermometers"
    press(page, "Save the plot")
    page.get_by_role("button", name="Start the dawn round").wait_for(timeout=LONG)
    for path in ("/", "/plot", "/diary", "/findings", "/sync", "/traps", "/warnings"):
        goto(page, path)
        yield f"{path} with nothing in it"
