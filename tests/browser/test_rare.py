"""What hardly anybody sees of the frame, fetched when it is needed: there without a network too."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from playwright.sync_api import expect

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, phone_of

pytestmark = pytest.mark.browser


def test_an_address_that_leads_nowhere_says_so_without_a_network(
    home: ServerProcess, plot: str, new_phone: Callable[..., Phone]
) -> None:
    phone = phone_of(new_phone, home, plot, "Ada")
    phone.offline()
    page = phone.go("/no/such/place")
    expect(page.get_by_role("main")).to_contain_text("Nothing lives here", timeout=LONG)
    page.get_by_role("main").get_by_role("link", name="Go to Now").click()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)


def test_where_the_browser_keeps_nothing_the_app_says_why(
    home: ServerProcess, new_phone: Callable[..., Phone]
) -> None:
    phone = new_phone(home.url, "insecure")
    # As at a name that a proxy serves without TLS; at an address of the house the server says it itself.
    phone.context.add_init_script("Object.defineProperty(window, 'isSecureContext', { value: false })")
    page = phone.go("/")
    main = page.get_by_role("main")
    expect(main).to_contain_text("This address cannot keep records", timeout=LONG)
    expect(main).to_contain_text("underboard certificate")
    expect(page.get_by_role("navigation")).to_have_count(0)
