"""A morning on the plot in real Chromium: counted offline, through a reload and a dead phone, synced at home."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, board, shows

pytestmark = [pytest.mark.browser, pytest.mark.timeout(900)]  # many taps; a machine may be loaded


def joined(new_phone: Callable[..., Phone], server: ServerProcess, plot: str, name: str, who: str) -> Phone:
    """A phone that has joined the plot, with its first sync done and its shell kept for offline starts."""
    phone = new_phone(server.url, name)
    page = phone.go(f"/#pair={server.code_for(plot)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill(who, timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("button", name="Start the dawn round")).to_be_visible(timeout=LONG)
    starts_offline(page)
    return phone


def plus(page: Page, times: int) -> None:
    for _ in range(times):
        page.get_by_role("button", name="One more slug").click()


def test_a_dawn_round_survives_everything_and_syncs_at_home(
    server: ServerProcess, new_phone: Callable[..., Phone], demo_in: Callable[[Path], str]
) -> None:
    plot = demo_in(server.data)
    server.start()
    phone = joined(partial(new_phone, whole=True), server, plot, "maren", "Maren")
    assert phone.context.new_cdp_session(phone.page).send("Page.getInstallabilityErrors") == {
        "installabilityErrors": []
    }

    # Off to the plot: no network, and the server is switched off as well.
    phone.close()
    server.stop()
    page = phone.open(offline=True)
    phone.go("/")
    page.get_by_role("button", name="Start the dawn round").click(timeout=LONG)
    page.wait_for_url("**/round/**")
    round_path = "/round/" + page.url.rsplit("/", 1)[-1]

    board(page, 1)
    plus(page, 4)
    shows(page, 1, "4")
    page.get_by_role("button", name="Undo", exact=True).click()
    shows(page, 1, "3")
    page.get_by_role("button", name="Eggs", exact=True).click()
    expect(page.get_by_role("region", name="Board 1", exact=True)).to_contain_text("1 egg cluster")
    board(page, 2)
    page.get_by_role("button", name="None here", exact=True).click()
    shows(page, 2, "0")
    board(page, 3)
    page.get_by_role("button", name="Could not turn", exact=True).click()
    page.get_by_role("button", name="Crop in the way").click()
    shows(page, 3, "could not turn")

    page.reload()
    shows(page, 1, "3")
    for number in range(4, 15):
        board(page, number)
        plus(page, number % 4 + 1)
        shows(page, number, str(number % 4 + 1))

    phone.kill()
    page = phone.open(offline=True)
    phone.go(round_path)
    for number in range(4, 15):
        shows(page, number, str(number % 4 + 1))
    shows(page, 3, "could not turn")
    for number in range(15, 27):
        board(page, number)
        page.get_by_role("button", name="None here", exact=True).click()
        shows(page, number, "0")
    board(page, 1)
    page.get_by_role("button", name="One slug fewer").click()
    shows(page, 1, "2")

    # Home again: it syncs by itself.
    server.start()
    phone.offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    headers = server.bearer(plot)
    round_id = round_path.rsplit("/", 1)[-1]

    def counts() -> dict[str, tuple[str, int | None, int | None]]:
        records = [r for r in server.records(plot, headers) if not r["deleted"]]
        labels = {r["id"]: r["body"]["label"] for r in records if r["type"] == "station"}
        found = [
            r["body"] for r in records if r["type"] == "slug_count" and r["body"].get("round_id") == round_id
        ]
        return {
            labels[body["station_id"]]: (body["state"], body.get("count"), body.get("egg_clusters"))
            for body in found
        }

    told = counts()
    for _ in range(200):
        # The last tap was another number of a board that had one.
        if len(told) == 26 and told["Board 1"][1] == 2:
            break
        page.wait_for_timeout(300)
        told = counts()
    assert len(told) == 26
    assert told["Board 1"] == ("counted", 2, 1)
    assert told["Board 2"][:2] == ("none_found", 0)
    assert told["Board 3"][0] == "not_turned"
    assert all(told[f"Board {n}"][:2] == ("counted", n % 4 + 1) for n in range(4, 15))
    assert all(told[f"Board {n}"][0] == "none_found" for n in range(15, 27))

    # A second phone sees the same round.
    other = joined_to_round(new_phone, server, plot, round_path)
    shows(other.page, 1, "2")
    shows(other.page, 14, "3")
    assert phone.errors == other.errors == []


def joined_to_round(
    new_phone: Callable[..., Phone], server: ServerProcess, plot: str, round_path: str
) -> Phone:
    phone = new_phone(server.url, "tobias")
    page = phone.go(f"/#pair={server.code_for(plot)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill("Tobias", timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_text("Dawn round").first).to_be_visible(timeout=LONG)
    phone.go(round_path)
    return phone
