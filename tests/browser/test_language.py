"""A phone that speaks German: every screen, offline too, and changed for another language by its person."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.accessible import put_checks_in, text_size
from tests.browser.every_state import paths_of_the_app
from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, counts_of, walk_path
from tests.browser.steps import goto, press, settle
from tests.browser.warned import synced

pytestmark = pytest.mark.browser

# A key of the catalogue that nobody has translated, or a place that nobody has filled.
RAW = re.compile(r"\b[a-z_]+\.[a-z]+_[a-z_]+\b|\{\w+")


def german_phone(make: Callable[..., Phone], server: ServerProcess, plot: str) -> Phone:
    phone = make(server.url, "deutsch", locale="de-DE", timezone_id="Europe/Berlin", reduced_motion="reduce")
    page = phone.go(f"/#pair={server.code_for(plot)}")
    page.get_by_role("button", name="Beitreten", exact=True).click(timeout=LONG)
    page.get_by_label("Dein Name").fill("Jana", timeout=LONG)
    page.get_by_role("button", name="Weiter").click()
    expect(page.get_by_role("heading", name="Jetzt", exact=True)).to_be_visible(timeout=LONG)
    starts_offline(page)
    return phone


def counts_a_board(page: Page) -> None:
    page.get_by_label("Bretter in der Reihenfolge").get_by_text("Board 2", exact=True).click(timeout=LONG)
    page.get_by_role("button", name="Eine Schnecke mehr").click()
    planks = page.get_by_label("Bretter in der Reihenfolge")
    expect(planks.locator(".plank-number")).to_have_text(["5", "1"], timeout=LONG)
    expect(planks).to_contain_text("1 Schnecke")
    # Ada's five on the other board: 6 on 2 boards, and a comma between the whole and the tenths.
    expect(page.get_by_role("main")).to_contain_text("3,0 je Brett")


# Sheets by the buttons that open them; the part of the diary that they belong to before that.
SHEETS = (
    ("/plot", "", ("Über die Parzelle", "Ort hinzufügen")),
    ("/diary", "", ("Notiz", "Behandlung", "Schaden", "Bohrkerne", "Morgenrunde")),
    ("/diary", "Anbau", ("Anbau beginnen",)),
    ("/diary", "Zuchten", ("Zucht ansetzen",)),
    ("/traps", "", ("Die ersten Fallen setzen", "Drahtwurm oder etwas Ähnliches?")),
)


def faults_of_sheets(page: Page) -> list[str]:
    """At twice the text size, one after the other."""
    found = []
    for path, part, names in SHEETS:
        goto(page, path)
        if part:
            page.get_by_role("radio", name=part, exact=True).check(timeout=LONG)
        for name in names:
            press(page, re.compile(f"^{re.escape(name)}"))
            found += faults_of_sheet(page, name)
    return found


def faults_of_sheet(page: Page, name: str) -> list[str]:
    page.get_by_role("dialog").first.wait_for(timeout=LONG)
    put_checks_in(page)
    text_size(page, 200)
    settle(page)
    found = [f"{name} at 200 %: {one}" for one in page.evaluate("checks.tooWide()")]
    text_size(page, 100)
    page.keyboard.press("Escape")
    page.locator("dialog[open]").first.wait_for(state="detached")
    return found


def faults_of_every_screen(page: Page) -> list[str]:
    """German words are longer: none may be cut off, at the phone's own text size and at twice that."""
    found = []
    for path in [path for path in paths_of_the_app() if ":" not in path]:
        goto(page, path)
        put_checks_in(page)
        for size in (100, 200):
            text_size(page, size)
            found += [f"{path} at {size} %: {one}" for one in page.evaluate("checks.tooWide()")]
        text_size(page, 100)
        raw = RAW.search(page.get_by_role("main").inner_text())
        found += [f"{path}: {raw.group()} is no word"] if raw else []
    return found


def test_a_german_phone_counts_offline_and_changes_its_language(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = german_phone(new_phone, home, plot)
    page = phone.page
    assert page.evaluate("document.documentElement.lang") == "de"
    faults = faults_of_every_screen(page) + faults_of_sheets(page)
    assert not faults, "\n".join(faults)

    phone.close()
    page = phone.open(offline=True)  # a cold start with no network has its words with it
    phone.go(walk_path(plot))
    counts_a_board(page)
    faults = []
    for name in ("Ging nicht", "Einstellungen der Runde"):
        press(page, name)
        faults += faults_of_sheet(page, name)
    assert not faults, "\n".join(faults)

    phone.offline(False)
    phone.go("/sync")
    page.get_by_label("Sprache").select_option("en")
    expect(page.get_by_role("heading", name="Sync", exact=True)).to_be_visible(timeout=LONG)
    assert page.evaluate("document.documentElement.lang") == "en"
    phone.go("/")  # kept on the phone
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    synced(phone)
    counts = {count["body"]["observer"]: count["body"]["count"] for count in counts_of(home, plot)}
    assert counts == {"Ada": 5, "Jana": 1}
    assert phone.errors == []
