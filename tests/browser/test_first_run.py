"""From a code to the first counted board on a plot of one's own, as a new grower would, then back online."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from tests.browser.disk import draft_holds
from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG

pytestmark = pytest.mark.browser


def test_four_questions_lead_to_the_first_round(
    server: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    server.start()
    code = server.code_for(None)
    phone = new_phone(server.url, "new")
    page = phone.go(f"/#pair={code}")
    page.get_by_role("button", name="Join", exact=True).click(timeout=LONG)
    page.get_by_label("Your name").fill("Hana", timeout=LONG)
    starts_offline(page)

    # Once the phone has joined, the questions need no network.
    phone.offline()
    page.get_by_role("button", name="Next").click()
    page.get_by_label("Name of the plot").fill("Windmill strip")
    page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="Bed", exact=True).click()
    page.get_by_role("button", name="Tunnel", exact=True).click()
    draft_holds(page, "first_run", '"kind":"bed"', '"kind":"tunnel"')
    phone.go("/")  # Now leads back to where it was left, and nothing that was answered is asked again
    page.get_by_role("link", name="Go on with it").click(timeout=LONG)
    expect(page.get_by_role("heading", name="What is on it?")).to_be_visible(timeout=LONG)
    page.get_by_role("button", name="Next").click()
    more = page.get_by_role("button", name=re.compile("^One more board in"))
    expect(more).to_have_count(2)
    more.nth(0).click()
    more.nth(1).click()
    page.get_by_role("button", name="Next").click()
    page.get_by_role("button", name="Open air", exact=True).click()
    page.get_by_role("button", name="Save the plot").click()

    page.get_by_role("button", name="Start the dawn round").click(timeout=LONG)
    page.get_by_role("button", name="One more slug").click(timeout=LONG)
    ladder = page.get_by_label("Boards in walking order")
    expect(ladder.get_by_role("button").first).to_contain_text("1 slug", timeout=LONG)

    phone.offline(False)
    page.evaluate("dispatchEvent(new Event('online'))")
    plot_id = page.evaluate("fetch('/api/v1/me').then((answer) => answer.json()).then((me) => me.plot_id)")
    headers = server.bearer(plot_id)
    found: dict[str, list[dict[str, object]]] = {}
    for _ in range(150):
        found = {}
        for record in server.records(plot_id, headers):
            found.setdefault(record["type"], []).append(record["body"])
        if "slug_count" in found:
            break
        page.wait_for_timeout(400)
    assert found["plot"][0]["name"] == "Windmill strip"
    assert sorted(str(place["kind"]) for place in found["place"]) == ["bed", "tunnel"]
    kinds = [str(station["kind"]) for station in found["station"]]
    assert kinds.count("thermometer") == 1 and kinds.count("slug_board") == 2
    assert [member["name"] for member in found["member"]] == ["Hana"]
    assert [(c["state"], c["count"], c["observer"]) for c in found["slug_count"]] == [("counted", 1, "Hana")]
    assert phone.errors == []
