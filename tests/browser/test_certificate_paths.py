"""Names and authorities that change under a phone with records that are only on it: nothing of them is lost."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.browser import phone as phones
from tests.browser.household import NAME, Home, refusal
from tests.browser.small_plot import LONG, board, counts_of, shows, sync, walk_path
from tests.browser.trust import HOSTS

pytestmark = pytest.mark.browser
SHED, GARDEN = f"shed.{NAME}", f"garden.{NAME}"


@pytest.fixture(scope="module")
def home(playwright: Playwright, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(phones, "QUIET", [*phones.QUIET, HOSTS])
        made = Home(playwright, tmp_path_factory.mktemp("paths"), SHED)
        made.trust_anew()
        made.join("Bo")
        yield made
        made.phone.close()
        made.server.stop()


def one_more_slug(home: Home, makes: int) -> None:
    """Count one away from home: it is on the phone alone."""
    home.phone.offline()
    page = home.phone.go(walk_path(home.plot_id))
    board(page, 2)
    page.get_by_role("button", name="One more slug").click()
    shows(page, 2, str(makes))
    assert there(home) != [makes]


def there(home: Home) -> list[int]:
    """What the server has of Bo's counting; a value that stands beside another would be a second one."""
    found = [one for one in counts_of(home.server, home.plot_id) if one["body"]["observer"] == "Bo"]
    return [side["count"] for one in found for side in (one["body"], *(c["set"] for c in one["conflicts"]))]


def told_what_is_wrong(home: Home) -> Page:
    """The phone is at home and gets no answer: it says what it keeps, and what may be the matter."""
    home.phone.offline(False)
    page = home.phone.go("/sync")
    page.get_by_role("button", name="Sync now").click(timeout=LONG)
    main = page.get_by_role("main")
    expect(main).to_contain_text("Everything is kept on this phone", timeout=LONG)
    expect(main).to_contain_text(
        "its certificate has changed and this phone has to be told again to trust it"
    )
    expect(main).to_contain_text(re.compile(r"(?<!\d)1\s*only on this phone"))
    look = page.get_by_role("link", name="See whether the browser warns")
    expect(look).to_have_attribute("href", "/install-ca")
    return page


def test_a_name_that_nobody_uses_is_left_out_and_the_phone_goes_on(home: Home) -> None:
    one_more_slug(home, 1)
    said = home.server.here("certificate", "--drop", SHED)
    assert said["changed"] and SHED not in said["names"] and NAME in said["names"]
    home.reread()
    home.phone.offline(False)
    sync(home.phone)
    assert there(home) == [1]
    assert refusal(home.phone.page, home.https(SHED)) == "ERR_CERT_COMMON_NAME_INVALID"


def test_a_new_authority_is_asked_for_by_the_phone_which_keeps_its_records_until_it_trusts_it(
    home: Home,
) -> None:
    one_more_slug(home, 2)
    before = home.said["authority_sha256"]
    assert home.server.here("certificate", "--new-authority")["authority_sha256"] != before
    home.reread()
    page = told_what_is_wrong(home)
    assert refusal(page, home.https() + "/install-ca") == "ERR_CERT_AUTHORITY_INVALID"
    # Ended and begun again the phone has it still, as long as nobody trusts anything new.
    home.phone.close()
    home.phone.open()
    shows(home.phone.go(walk_path(home.plot_id)), 2, "2")
    told_what_is_wrong(home)
    assert there(home) == [1]
    home.trust_anew()
    sync(home.phone)
    assert there(home) == [2]
