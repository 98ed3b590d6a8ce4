"""Names and authorities that change under a phone with records that are only on it: nothing of them is lost."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, Playwright, expect

from tests.browser import phone as phones
from tests.browser.household import NAME, Home, refusal
from tests.browser.small_plot import LONG, board, counts_of, shows, sync, walk_path
from tests.browser.test_unsent_file import choose, written_file
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


def one_more_slug(home: Home) -> int:
    """Count one away from home, so that it is on the phone alone. What the board has then."""
    makes = sum(there(home)) + 1
    home.phone.offline()
    page = home.phone.go(walk_path(home.plot_id))
    board(page, 2)
    page.get_by_role("button", name="One more slug").click()
    shows(page, 2, str(makes))
    assert there(home) != [makes]
    return makes


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
    makes = one_more_slug(home)
    said = home.server.here("certificate", "--drop", SHED)
    assert said["changed"] and SHED not in said["names"] and NAME in said["names"]
    home.reread()
    home.phone.offline(False)
    sync(home.phone)
    assert there(home) == [makes]
    assert refusal(home.phone.page, home.https(SHED)) == "ERR_CERT_COMMON_NAME_INVALID"


def test_a_new_authority_is_asked_for_by_the_phone_which_keeps_its_records_until_it_trusts_it(
    home: Home,
) -> None:
    had = there(home)
    makes = one_more_slug(home)
    before = home.said["authority_sha256"]
    assert home.server.here("certificate", "--new-authority")["authority_sha256"] != before
    home.reread()
    page = told_what_is_wrong(home)
    assert refusal(page, home.https() + "/install-ca") == "ERR_CERT_AUTHORITY_INVALID"
    # Ended and begun again the phone has it still, as long as nobody trusts anything new.
    home.phone.close()
    home.phone.open()
    shows(home.phone.go(walk_path(home.plot_id)), 2, str(makes))
    told_what_is_wrong(home)
    assert there(home) == had
    home.trust_anew()
    sync(home.phone)
    assert there(home) == [makes]


def test_a_name_that_is_left_out_too_early_loses_nothing(home: Home) -> None:
    """The phone belongs to the old name. Its file goes over to the new one, or the old name is taken in again."""
    makes = one_more_slug(home)
    said = home.server.here("certificate", "--name", GARDEN, "--drop", NAME)
    assert GARDEN in said["names"] and NAME not in said["names"]
    home.reread()
    page = told_what_is_wrong(home)
    assert refusal(page, home.https() + "/install-ca") == "ERR_CERT_COMMON_NAME_INVALID"
    file = written_file(home.phone)

    home.phone.url = home.https(GARDEN)
    home.join("Ada")
    page = choose(home.phone, file)
    page.get_by_role("button", name="Take them in").click(timeout=LONG)
    expect(page.get_by_role("main")).to_contain_text("1 change taken in", timeout=LONG)
    sync(home.phone)
    assert there(home) == [makes]

    home.server.here("certificate", "--name", NAME)
    home.reread()
    home.phone.url = home.https()
    sync(home.phone)
    assert there(home) == [makes]
    assert home.phone.errors == []
