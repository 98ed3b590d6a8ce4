"""Every screen of the app with a plot in which every text is an attack: all of it is shown as text, none of it runs."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.attacks.hostile import WORDS, hostile_records
from tests.browser.every_state import paths_of_the_app
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, push
from tests.browser.steps import settle, turn_to

pytestmark = pytest.mark.browser

# Before any script of ours: whatever runs by itself calls hit(), and what the policy had to stop is no success either.
WATCH = """
  window.hits = [];
  window.hit = window.alert = window.prompt = (...words) => { window.hits.push(['ran', ...words.map(String)]); };
  addEventListener('securitypolicyviolation', (event) => window.hits.push(
    ['stopped', event.violatedDirective, event.blockedURI, event.sample]));
"""
GREW = """document.querySelectorAll(
  'img[src="x"], [onerror], [onload], [onclick], [onfocus], [autofocus], iframe, [href^="javascript" i], ' +
  'main script, main style, [srcdoc]').length"""

SHOWN = """() => [
  document.body.innerText,
  ...[...document.querySelectorAll('input, textarea, option, text')].map((one) => one.value ?? one.textContent ?? ''),
  ...[...document.querySelectorAll('[aria-label]')].map((one) => one.getAttribute('aria-label')),
].join('\\n')"""


def hostile_plot(server: ServerProcess) -> tuple[str, dict[str, str]]:
    code = server.code_for(None)
    body = f'{{"code": "{code}", "device_name": "<img src=x onerror=hit()>", "want": "token"}}'.encode()
    paired = server.call("POST", "/api/v1/pair", body=body)
    headers = {"Authorization": f"Bearer {paired['token']}"}
    records = hostile_records(paired["plot_id"])
    push(server, headers, paired["plot_id"], records)
    return str(paired["plot_id"]), {one["type"]: one["id"] for one in records}


def addresses(ids: dict[str, str]) -> list[str]:
    """Every path of the app, with ids of the plot where one is asked for."""
    parts = {
        "/round/:id": ids["round"], "/warning/:id": ids["warning_reply"], "/watch/:rule": "frost",
        "/photos/of/:place": ids["place"], "/photos/compare/:pair": f"{ids['photo']}~{ids['photo']}",
        "/trials/:id": ids["trial"],
    }  # fmt: skip
    known = [path for path in paths_of_the_app() if ":" not in path or path in parts]
    assert sorted(known) == sorted(paths_of_the_app()), "a new path: say which id it gets"
    return [re.sub(r":\w+", parts.get(path, ""), path) for path in known]


def visit(page: Page, path: str) -> None:
    """Go there as the browser's back and forward do."""
    turn_to(page, path)
    settle(page)


def shown_words(page: Page) -> set[str]:
    text = page.evaluate(SHOWN)
    return {word for word in WORDS if word in text}


def test_hostile_words_are_words_on_every_screen(
    home: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    plot_id, ids = hostile_plot(home)
    phone = new_phone(home.url)
    phone.context.add_init_script(WATCH)
    page = phone.go(f"/#pair={home.code_for(plot_id)}")
    page.get_by_role("button", name=re.compile("join", re.IGNORECASE)).first.click(timeout=LONG)
    page.get_by_label("Your name").fill(WORDS[0], timeout=LONG)
    page.get_by_role("button", name="Next").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    seen: dict[str, set[str]] = {}
    faults: list[Any] = []
    for path in addresses(ids):
        visit(page, path)
        page.evaluate("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
        page.locator("body").press("Tab")  # whatever would run when it is looked at
        seen[path] = shown_words(page)
        faults += [(path, found) for found in page.evaluate("hits.splice(0)")]
        if page.evaluate(GREW):
            faults.append((path, "an element grew out of a word"))
    assert faults == []
    assert phone.errors == []
    # the screens that show what people wrote did show it, so that the check has looked at something
    for path in ("/plot", "/diary", "/sync", f"/trials/{ids['trial']}"):
        assert seen[path], path
    assert len(set().union(*seen.values())) >= 5, seen
