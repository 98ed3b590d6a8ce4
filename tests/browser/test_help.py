"""The help in a real browser: under its own policy, searched, read again with no signal, reached from Sync."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

import pytest
from playwright.sync_api import Page, expect
from playwright.sync_api import TimeoutError as PlaywrightTimeout

from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, new_plot
from tests.browser.warned import joined

pytestmark = pytest.mark.browser
# said by the browser in the page itself, whatever the console does
LISTEN = """globalThis.refused = [];
addEventListener('securitypolicyviolation', (one) => refused.push(one.violatedDirective + ' ' + one.blockedURI));"""


def opened(page: Page, url: str) -> None:
    page.goto(url, wait_until="load")
    expect(page.locator("article h1")).to_be_visible(timeout=LONG)


def test_the_help_is_read_searched_and_read_again_with_no_signal(
    home: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    phone = joined(new_phone, home, new_plot(home), "Ada")
    page = phone.page
    asked: list[str] = []
    phone.context.on("request", lambda request: asked.append(request.url))
    phone.context.add_init_script(LISTEN)
    phone.go("/sync")
    with phone.context.expect_page(timeout=LONG) as window:
        page.get_by_role("link", name="Help:").click(timeout=LONG)
    reader = window.value
    expect(reader.locator("article h1")).to_contain_text("Underboard, explained", timeout=LONG)

    reader.locator("article").get_by_role("link", name="Frost", exact=True).click()
    expect(reader.locator("article h1")).to_contain_text("Frost", timeout=LONG)
    reader.locator("label[for='__search']").first.click()
    found = reader.locator(".md-search-result__link").first
    for _ in range(30):  # what is typed before the list of words has come is not heard, and typed again
        reader.get_by_placeholder("Search").fill("")
        reader.get_by_placeholder("Search").press_sequentially("fingerprint")
        with suppress(PlaywrightTimeout):
            found.wait_for(timeout=4_000)
            break
    expect(found).to_be_visible()
    assert reader.evaluate("refused") == []
    assert [url for url in asked if not url.startswith((home.url, "blob:", "data:"))] == []

    until(reader, "caches.match('/help/frost.html').then((kept) => kept !== undefined)")
    until(reader, "caches.open('help').then((kept) => kept.keys()).then((all) => all.length > 3)")
    phone.offline()
    opened(reader, f"{home.url}/help/frost.html")
    expect(reader.locator("article")).to_contain_text("Lowest tonight")
    assert phone.errors == []
