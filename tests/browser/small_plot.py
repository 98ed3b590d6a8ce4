"""A small plot for two phones: two boards, today's round, Board 1 counted by Ada; and what people do on it."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Callable
from contextlib import suppress
from datetime import UTC, datetime
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from playwright.sync_api import Locator, Page, expect
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from tests.browser.phone import Phone, starts_offline
from tests.browser.phone import until as until_page
from tests.browser.server import ServerProcess

LONG = 60_000
PUSH = "**/api/v1/sync/push"
PULL = "**/api/v1/sync/pull?*"


def new_plot(server: ServerProcess) -> str:
    """A small plot with two boards and today's round, written as a script would."""
    body = json.dumps({"code": server.code_for(None), "device_name": "script", "want": "token"}).encode()
    paired = server.call("POST", "/api/v1/pair", body=body)
    plot_id = str(paired["plot_id"])
    headers = {"Authorization": f"Bearer {paired['token']}"}
    push(server, headers, plot_id, start_records(plot_id))
    return plot_id


def start_records(plot_id: str) -> list[dict[str, Any]]:
    at = datetime.now(ZoneInfo("Europe/London")).isoformat(timespec="seconds")
    stem = f"01890000-0000-7000-8000-{plot_id[-12:-2]}"
    place, walk = f"{stem}a0", f"{stem}b0"
    boards = [f"01890000-0000-7000-8000-{plot_id[-12:-2]}c{n}" for n in (1, 2)]
    station = {"kind": "slug_board", "place_id": place}
    return [
        {"type": "plot", "id": plot_id, "set": {"name": "Two boards", "time_zone": "Europe/London"}},
        {"type": "place", "id": place, "set": {"kind": "bed", "label": "Bed", "length_m": 2, "width_m": 1}},
        *(
            {"type": "station", "id": board, "set": {**station, "label": f"Board {n}", "walk_order": n}}
            for n, board in enumerate(boards, start=1)
        ),
        {"type": "round", "id": walk, "set": {"kind": "dawn", "observed_at": at, "started_at": at, "observer": "Ada"}},
        {"type": "slug_count", "id": walk[:-2] + "d1",
         "set": {"round_id": walk, "station_id": boards[0], "state": "counted", "count": 5, "observed_at": at,
                 "observer": "Ada"}},
    ]  # fmt: skip


def push(server: ServerProcess, headers: dict[str, str], plot_id: str, records: list[dict[str, Any]]) -> None:
    ops = [{"op_id": str(uuid.uuid4()), "kind": "put", "base_rev": 0, **record} for record in records]
    epoch = server.call("GET", f"/api/v1/sync/pull?plot={plot_id}", headers=headers)["epoch"]
    frame = {
        "protocol": 1,
        "schema": 1,
        "plot": plot_id,
        "epoch": epoch,
        "sent_at": datetime.now(UTC).isoformat(),
    }
    answer = server.call("POST", "/api/v1/sync/push", json.dumps({**frame, "ops": ops}).encode(), headers)
    assert {result["status"] for result in answer["results"]} == {"applied"}, answer


def walk_path(plot_id: str) -> str:
    return f"/round/01890000-0000-7000-8000-{plot_id[-12:-2]}b0"


@cache
def bearer(server: ServerProcess, plot_id: str) -> dict[str, str]:
    """One script a plot is enough to look at what the server has."""
    return server.bearer(plot_id)


def counts_of(server: ServerProcess, plot_id: str) -> list[dict[str, Any]]:
    records = server.records(plot_id, bearer(server, plot_id))
    return [r for r in records if r["type"] == "slug_count" and not r["deleted"]]


def phone_of(
    make: Callable[..., Phone], server: ServerProcess, plot_id: str, who: str, profile: str = ""
) -> Phone:
    """Join, give the name, open the round."""
    phone = make(server.url, profile or who)
    page = phone.go(f"/#pair={server.code_for(plot_id)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill(who, timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    # As the browser's own back and forward change the screen: the page need not load again.
    page.evaluate(
        "to => { history.pushState({}, '', to); dispatchEvent(new PopStateEvent('popstate')) }",
        walk_path(plot_id),
    )
    expect(page.get_by_role("button", name="One more slug")).to_be_visible(timeout=LONG)
    starts_offline(page)
    return phone


def open_now(phone: Phone, says: Locator) -> None:
    """Open Now, and again until it says this.

    What it says of nights, treated places and trials comes in a file of its own. On a slow machine that may come more
    than a second after the rest, and then Now goes without until it is opened again.
    """
    for turn in range(1, 11):
        phone.go("/")
        expect(phone.page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
        with suppress(PlaywrightTimeout):
            says.wait_for(timeout=5_000 * turn)
            return
    expect(says).to_be_visible()


def board(page: Page, number: int) -> None:
    page.get_by_label("Boards in walking order").get_by_text(f"Board {number}", exact=True).click()
    expect(page.get_by_role("region", name=f"Board {number}", exact=True)).to_be_visible()


def shows(page: Page, number: int, words: str) -> None:
    """What a plank says of its board, which it does once the disk has it: a number, or words.

    Of the saying alone: "Board 2" holds a 2 before anything was counted.
    """
    plank = page.get_by_label("Boards in walking order").get_by_role(
        "button", name=re.compile(rf"Board {number}\b")
    )
    says = plank.locator(".plank-number" if words.isdigit() else ".plank-says")
    if words.isdigit():
        expect(says).to_have_text(words, timeout=LONG)
    else:
        expect(says).to_contain_text(words, timeout=LONG)


# When the last sync ended that had pushed and pulled, and stored what it pulled: written by it at its very end.
# Asked again when the handle dies under the question, as some tests let it.
LAST_SYNC = """async () => {
  const ask = () => new Promise((done, fail) => {
    const opening = indexedDB.open('underboard');
    opening.onerror = () => fail(opening.error);
    opening.onsuccess = () => {
      const db = opening.result;
      try {
        const row = db.transaction('meta').objectStore('meta').get('last_sync_at');
        row.onsuccess = () => done(row.result?.value ?? '');
        row.onerror = () => fail(row.error);
      } catch (error) {
        fail(error);
      } finally {
        db.close();
      }
    };
  });
  return await ask().catch(ask);
}"""


def sync(phone: Phone) -> None:
    """Wake the sync as coming home does; wait until what came is stored and nothing is left on the phone."""
    page = phone.go("/sync")
    before = page.evaluate(LAST_SYNC)
    page.get_by_role("button", name="Sync now").click(timeout=LONG)
    until_page(page, f"async (before) => await ({LAST_SYNC})() !== before", before, timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text(
        re.compile(r"(?<!\d)0\s*only on this phone"), timeout=LONG
    )


def until(
    server: ServerProcess, plot_id: str, page: Page, enough: Callable[[list[dict[str, Any]]], bool]
) -> Any:
    for _ in range(200):
        found = counts_of(server, plot_id)
        if enough(found):
            return found
        page.wait_for_timeout(300)
    raise AssertionError(found)


def settle(page: Page, count: str) -> None:
    """Take one of the values that stand side by side; nothing is chosen before that."""
    sides = page.get_by_role("group", name="Slugs").locator(".side")
    expect(sides).to_have_count(2, timeout=LONG)
    side = sides.filter(has=page.get_by_text(re.compile(rf"^{count}$")))
    side.get_by_role("button", name="Take this").click()
    page.get_by_role("button", name="Settle", exact=True).click()
    expect(sides).to_have_count(0, timeout=LONG)  # the disk has the choice


def annotate(page: Page, words: str) -> None:
    """Write a note on the count of Board 1 in the diary."""
    open_count(page)
    page.get_by_label("Note", exact=True).last.fill(words)
    save(page)


def open_count(page: Page) -> None:
    """Open the count of Board 1 from the diary."""
    page.goto(re.sub(r"(https?://[^/]+).*", r"\1/diary", page.url), wait_until="domcontentloaded")
    reopen_count(page)


def reopen_count(page: Page) -> None:
    """The same, where the diary is open already."""
    page.get_by_role("button", name=re.compile("Dawn round")).first.click(timeout=LONG)
    page.get_by_text("Boards of this round").click()
    page.get_by_role("button", name=re.compile("Board 1")).first.click()


def correct(page: Page, count: int) -> None:
    """Correct the count of Board 1 to another number."""
    open_count(page)
    type_count(page, count)


def type_count(page: Page, count: int) -> None:
    page.get_by_label("Slugs", exact=True).fill(str(count))
    save(page)


def save(page: Page) -> None:
    """The sheet closes once the disk has it."""
    button = page.get_by_role("button", name="Save change")
    button.click()
    expect(button).to_be_hidden(timeout=LONG)
