"""What people do in the diary of a small plot, and what the server then has."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from playwright.sync_api import Locator, Page, expect

from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, bearer, push, start_records


def beds(server: ServerProcess, plot: str, count: int) -> dict[str, str]:
    """Beds 3 and on beside the one there is; their ids by label."""
    stem = start_records(plot)[1]["id"][:-2]
    ids = {f"Bed {n}": f"{stem}e{n}" for n in range(3, 3 + count)}
    shape = {"kind": "bed", "length_m": 5, "width_m": 1.2}
    records = [{"type": "place", "id": id_, "set": {**shape, "label": label}} for label, id_ in ids.items()]
    push(server, bearer(server, plot), plot, records)
    return ids


def kept_offline(phone: Phone) -> None:
    """Wait until the phone can start without a network."""
    starts_offline(phone.page)


def diary(phone: Phone, view: str) -> Page:
    page = phone.go("/diary")
    page.get_by_role("radio", name=view, exact=True).check(timeout=LONG)
    return page


def sheet(page: Page, name: str | re.Pattern[str]) -> Locator:
    dialog = page.get_by_role("dialog", name=name)
    expect(dialog).to_be_visible(timeout=LONG)
    return dialog


def tick(dialog: Locator, *labels: str) -> None:
    for label in labels:
        dialog.get_by_role("checkbox", name=label, exact=True).check()


def choose(dialog: Locator, label: str) -> None:
    dialog.get_by_role("radio", name=label, exact=True).check()


def press(dialog: Locator, name: str) -> None:
    """Press what saves: the sheet closes once the disk has it."""
    dialog.get_by_role("button", name=name, exact=True).click()
    expect(dialog).to_be_hidden(timeout=LONG)


def bodies(server: ServerProcess, plot: str, kind: str) -> list[dict[str, Any]]:
    records = server.records(plot, bearer(server, plot))
    return [record["body"] for record in records if record["type"] == kind and not record["deleted"]]


def small_targets(scope: Locator) -> list[str]:
    """What can be pressed and is less than 48 px high or wide."""
    found: list[str] = scope.evaluate(
        """(root) => [...root.querySelectorAll('button, select, input, summary, .chip, .toggle, .segment')]
            .filter((one) => !one.closest('.chip, .segment, .toggle') || one.matches('.chip, .segment, .toggle'))
            .map((one) => [one, one.getBoundingClientRect()])
            .filter(([, box]) => box.width > 0 && (box.height < 47.5 || box.width < 47.5))
            .map(([one, box]) => `${one.tagName} ${one.textContent} ${box.width}x${box.height}`)"""
    )
    return found


def step(
    card: Locator, page: Page, what: str, *also: str, stage: str = "", kg: str = "", save: str = "Save"
) -> None:
    card.get_by_role("button", name="What happened?").click()
    form = sheet(page, re.compile("what happened"))
    choose(form, what)
    if stage:
        choose(form, stage)
    if kg:
        form.get_by_label("Weight, kg").fill(kg)
    for bed in also:
        form.get_by_role("checkbox", name=re.compile(rf"{bed}$")).check()
    assert small_targets(form) == []
    press(form, save)


def beds_id(plot: str, number: int) -> str:
    return f"{start_records(plot)[1]['id'][:-2]}e{number}"


def day_words(day: date) -> str:
    """`Fri 3 Dec`, with the year when it is another than this one."""
    year = "" if day.year == datetime.now(ZoneInfo("Europe/London")).year else f" {day.year}"
    return f"{day:%a} {day.day} {day:%b}".replace("Sep", "Sept") + year
