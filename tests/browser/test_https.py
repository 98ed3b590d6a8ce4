"""https at home in real Chromium, which trusts the household by its own store; nothing is waved through."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address

import pytest
from playwright.sync_api import Playwright, expect

from tests.browser import phone as phones
from tests.browser.household import NAME, Home, refusal, sync_now
from tests.browser.phone import until
from tests.browser.small_plot import LONG
from tests.browser.trust import HOSTS, shown
from tests.certificates.test_authority import stolen
from underboard.certificates.authority import issue, make_authority
from underboard.certificates.bounds import Bounds

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def home(playwright: Playwright, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(phones, "QUIET", [*phones.QUIET, HOSTS])
        made = Home(playwright, tmp_path_factory.mktemp("https"))
        yield made
        made.phone.close()
        made.server.stop()


def test_plain_http_from_elsewhere_explains_and_shows_how_to_come_in(home: Home) -> None:
    page = home.phone.page
    said = (home.server.data / "serve.log").read_text("utf-8")
    assert f"A phone that does not trust it yet begins at {home.http('/install-ca')}\n" in said
    assert (
        "phones do not reach it: it listens to this computer alone. Begin it with --host 0.0.0.0.\n" in said
    )
    page.goto(home.http("/diary"))
    assert page.evaluate("isSecureContext") is False
    expect(page.get_by_text("This address is not safe to write on")).to_be_visible()
    expect(page.get_by_role("link", name=home.https())).to_have_attribute("href", home.https() + "/")
    digits = "".join(page.locator(".digits span").all_inner_texts())
    assert digits == home.said["authority_sha256"]
    expect(page.locator("details[open]")).to_have_attribute("id", "linux")
    expect(page.locator("details[open] svg.screen").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    # nothing can be read or written this way, whoever asks
    ask = "(path) => fetch(path, { method: path.includes('pair') ? 'POST' : 'GET' }).then((a) => a.status)"
    assert [page.evaluate(ask, path) for path in ("/api/v1/pair", "/api/v1/me", "/api/v1/hello")] == [
        403,
        403,
        200,
    ]


def test_until_it_is_told_to_trust_the_browser_refuses(home: Home) -> None:
    assert refusal(home.phone.page, home.https()) == "ERR_CERT_AUTHORITY_INVALID"


def test_with_the_authority_of_that_page_installed_the_app_works_offline(home: Home) -> None:
    home.trust_anew()
    page = home.join("Ada")
    assert page.evaluate("isSecureContext")
    worker = "navigator.serviceWorker.ready.then((here) => here.active.scriptURL)"
    assert until(page, worker) == f"{home.https()}/sw.js"
    (cookie,) = home.phone.context.cookies(home.https())
    assert (cookie["name"], cookie["secure"]) == ("__Host-dev", True)
    home.phone.offline()
    page.reload()
    expect(page.get_by_role("heading", name="Now", exact=True)).to_be_visible(timeout=LONG)
    home.phone.offline(False)
    # its own page is there from within the app as well
    page.goto(home.https() + "/install-ca")
    expect(page.get_by_role("heading", name="First compare")).to_be_visible()


def test_an_owner_lets_another_phone_in_and_is_told_where_its_trust_begins(home: Home) -> None:
    page = home.phone.page
    page.goto(f"{home.https()}/sync")
    page.get_by_role("button", name="Let another phone in").click(timeout=LONG)
    page.get_by_role("button", name="Make the code").click()
    sheet = page.get_by_role("dialog")
    expect(sheet.get_by_text(f"{home.https()}/join", exact=True)).to_be_visible(timeout=LONG)
    expect(sheet.get_by_text(home.http("/install-ca"), exact=True)).to_be_visible()
    expect(sheet).not_to_contain_text("this computer only")
    page.keyboard.press("Escape")


def test_a_certificate_for_another_name_or_from_another_household_is_refused(home: Home) -> None:
    page = home.phone.page
    assert refusal(page, home.https("shed.home.arpa")) == "ERR_CERT_COMMON_NAME_INVALID"
    stranger = make_authority(Bounds((NAME,), ()), datetime.now(UTC))
    with shown(issue(stranger, (NAME,), (), datetime.now(UTC)), home.folder) as port:
        assert refusal(page, f"https://{NAME}:{port}/") == "ERR_CERT_AUTHORITY_INVALID"


def test_the_authority_is_believed_for_the_household_only(home: Home) -> None:
    """Signed with the household's own key, by somebody who got hold of it."""
    page = home.phone.page
    authority = home.keeper.authority()
    assert authority is not None
    with shown(issue(authority, (NAME,), (), datetime.now(UTC)), home.folder) as port:
        page.goto(f"https://{NAME}:{port}/")  # so the way of asking is right
        expect(page.get_by_text("Your savings")).to_be_visible()
    with shown(stolen(authority, ("bank.example",)), home.folder) as port:
        assert refusal(page, f"https://bank.example:{port}/") == "ERR_CERT_INVALID"


def test_the_server_renews_by_itself_and_a_paired_phone_goes_on(home: Home) -> None:
    page = home.phone.go("/sync")
    sync_now(page)
    home.server.stop()
    here = [ip_address("127.0.0.1")]
    home.keeper.make([NAME], here, [], datetime.now(UTC) - timedelta(days=368))
    old = home.keeper.shown()
    assert old is not None and old.ends - datetime.now(UTC) < timedelta(days=30)
    home.server.start()
    seen = home.another_than(old.serial)
    sync_now(page)
    new = home.keeper.shown()
    assert new is not None and new.ends - datetime.now(UTC) > timedelta(days=390)
    assert seen == new.serial
    assert home.phone.errors == []


def test_a_new_name_beside_the_old_one_keeps_what_phones_hold(home: Home) -> None:
    fresh = f"garden.{NAME}"
    said = home.server.here("certificate", "--name", fresh)
    assert {NAME, fresh} <= set(said["names"])
    home.reread()
    page = home.phone.go("/sync")
    sync_now(page)  # the old name, its records and its pairing are as they were
    page.goto(f"https://{fresh}:{home.https_port}/")
    expect(page.get_by_role("heading", name="Now", exact=True)).not_to_be_visible()
    assert page.evaluate("isSecureContext") is True
    assert home.phone.context.cookies(f"https://{fresh}:{home.https_port}") == []
