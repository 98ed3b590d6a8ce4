"""Another page that uses a phone's cookie (CSRF): every address that changes something × every sign of such a page.

The addresses come from the app itself. A device of a real pairing asks, with its real cookie.
"""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tests.attacks.household import ROLES, Household, household
from tests.attacks.test_roles import DOORS, Door, address, named, sent
from underboard.store import people
from underboard.web.services import EXTENSION, utc_now

SAFE: Final = {"GET", "HEAD", "OPTIONS"}
OURS: Final = {"Sec-Fetch-Site": "same-origin", "X-App": "1"}
OURS_OF_OLD: Final = {"Origin": "http://localhost", "X-App": "1"}  # browsers without Fetch Metadata
FOREIGN: Final[Mapping[str, Mapping[str, str]]] = {
    "says nothing": {},
    "only our header": {"X-App": "1"},
    "no header of ours": {"Sec-Fetch-Site": "same-origin"},
    "no header of ours, by origin": {"Origin": "http://localhost"},
    "our header says no": {**OURS, "X-App": "0"},
    "our header is empty": {**OURS, "X-App": ""},
    "cross-site": {**OURS, "Sec-Fetch-Site": "cross-site"},
    "same-site": {**OURS, "Sec-Fetch-Site": "same-site"},
    "typed or opened from outside": {**OURS, "Sec-Fetch-Site": "none"},
    "a site nobody knows": {**OURS, "Sec-Fetch-Site": "same-origin, cross-site"},
    "an empty site": {**OURS_OF_OLD, "Sec-Fetch-Site": ""},
    "cross-site with our origin": {**OURS_OF_OLD, "Sec-Fetch-Site": "cross-site"},
    "foreign origin": {**OURS_OF_OLD, "Origin": "http://evil.example"},
    "no origin to name": {**OURS_OF_OLD, "Origin": "null"},
    "another port": {**OURS_OF_OLD, "Origin": "http://localhost:8351"},
    "another scheme": {**OURS_OF_OLD, "Origin": "https://localhost"},
    "a longer name": {**OURS_OF_OLD, "Origin": "http://localhost.evil.example"},
    "only a referrer": {"X-App": "1", "Referer": "http://localhost/"},
}  # fmt: skip
NAMES_NO_OTHER_PAGE: Final = {
    "says nothing", "only our header", "only a referrer", "our header says no", "our header is empty",
    "no header of ours", "no header of ours, by origin",
}  # fmt: skip
"""Scripts pair without a browser; the header of ours guards cookies, and who pairs has none yet."""
FORMS: Final = (
    "application/x-www-form-urlencoded",
    "multipart/form-data; boundary=x",
    "text/plain",
    "TEXT/PLAIN; charset=utf-8",
)
UNSAFE: Final = [door for door in DOORS if door.method not in SAFE]
BY_COOKIE: Final = [door for door in UNSAFE if door.least in ROLES]
BY_SECRET: Final = {"POST /api/v1/pair", "POST /stop/<token>"}
"""What a cookie opens nothing of: whoever has the code or the link may, from wherever."""


@dataclass
class Browser:
    """A phone's browser with the cookie of an owner."""

    house: Household
    client: FlaskClient

    def send(self, door: Door, path: str, headers: Mapping[str, str], **request: Any) -> TestResponse:
        return self.client.open(path, method=door.method, headers=dict(headers), **request)

    def everything(self) -> dict[str, Any]:
        """All rows of all tables, and all files of the data folder."""
        engine, data = self.house.app.config["SQLALCHEMY_DATABASE_URI"], self.data
        with closing(sqlite3.connect(engine.removeprefix("sqlite:///"))) as connection:
            tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
            rows = {name: connection.execute(f'SELECT * FROM "{name}"').fetchall() for (name,) in tables}
        files = {
            path.relative_to(data).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
            for path in data.rglob("*")
            if path.is_file()
        }
        assert rows["device"] and len(rows) > 10 and files
        return {**rows, **files}

    @property
    def data(self) -> Path:
        return Path(self.house.app.extensions[EXTENSION].settings.data)


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Iterator[Browser]:
    with household(tmp_path_factory.mktemp("foreign"), migrated_sqlite) as house:
        with house.app.app_context():
            code = people.new_code(house.plot_id, "owner", utc_now()).code
        client = house.app.test_client()
        wish = {"code": code, "device_name": "browser", "want": "cookie"}
        answer = client.post("/api/v1/pair", json=wish, headers=OURS)
        assert answer.status_code == 200 and client.get_cookie("__Host-dev") is not None
        house.devices["browser"] = answer.get_json()["device_id"]
        yield Browser(house, client)


def request_of(browser: Browser, door: Door) -> dict[str, Any]:
    return sent(browser.house, door, "browser")


def test_every_address_that_changes_something_is_tried(browser: Browser) -> None:
    there = {
        f"{method} {rule.rule}"
        for rule in browser.house.app.url_map.iter_rules()
        for method in (rule.methods or set()) - SAFE
    }
    assert there == {named(door) for door in BY_COOKIE} | BY_SECRET
    assert len(there) > 15


@pytest.mark.parametrize("door", BY_COOKIE, ids=named)
def test_a_cookie_opens_nothing_for_another_page(browser: Browser, door: Door) -> None:
    path, request = address(browser.house, door), request_of(browser, door)
    before = browser.everything()
    for sign, headers in FOREIGN.items():
        refused(browser.send(door, path, headers, **request), sign)
    assert browser.everything() == before
    for headers in (OURS, OURS_OF_OLD):  # the same request, from our own page
        again = address(browser.house, door), request_of(browser, door)
        assert browser.send(door, again[0], headers, **again[1]).status_code in door.well


@pytest.mark.parametrize("door", BY_COOKIE, ids=named)
def test_what_a_form_can_send_is_never_taken(browser: Browser, door: Door) -> None:
    """Even with all headers of our own page: a form needs to ask nobody before it is sent."""
    path, request = address(browser.house, door), request_of(browser, door)
    body = request.get("data") or browser.client.application.json.dumps(request.get("json", {}))
    before = browser.everything()
    for kind in FORMS:
        refused(browser.send(door, path, OURS, data=body, content_type=kind), kind)
    refused(browser.send(door, path, OURS, data=body), "no kind")
    assert browser.everything() == before


def refused(answer: TestResponse, sign: str) -> None:
    assert answer.status_code == 403, (sign, answer.text)
    assert answer.get_json()["type"] == "/problems/foreign-page", (sign, answer.text)
    assert "Set-Cookie" not in answer.headers, sign


@pytest.mark.parametrize("sign", sorted(FOREIGN.keys() - NAMES_NO_OTHER_PAGE))
def test_another_page_cannot_pair_this_browser(browser: Browser, sign: str) -> None:
    """It could sign somebody in to its own plot, who would then record there."""
    with browser.house.app.app_context():
        code = people.new_code(browser.house.plot_id, "helper", utc_now()).code
    before = browser.everything()
    fresh = browser.house.app.test_client()
    wish = {"code": code, "device_name": "lured", "want": "cookie"}
    refused(fresh.post("/api/v1/pair", json=wish, headers=dict(FOREIGN[sign])), sign)
    assert browser.everything() == before


def test_a_form_cannot_pair_this_browser(browser: Browser) -> None:
    with browser.house.app.app_context():
        code = people.new_code(browser.house.plot_id, "helper", utc_now()).code
    before = browser.everything()
    wish = f'{{"code": "{code}", "device_name": "lured", "want": "cookie"}}'
    for kind in FORMS:
        answer = browser.house.app.test_client().post("/api/v1/pair", data=wish, content_type=kind)
        assert 400 <= answer.status_code < 500 and "Set-Cookie" not in answer.headers, (kind, answer.text)
    assert browser.everything() == before


def test_a_stop_link_asks_for_no_cookie_and_gives_none_a_meaning(browser: Browser) -> None:
    """A mail program's own machine presses it (RFC 8058), so no page can be asked for; the link is all the right."""
    _, token = browser.house.address()
    before = browser.everything()
    for headers in (OURS, *FOREIGN.values()):
        assert browser.client.post(f"/stop/{'A' * 43}", headers=dict(headers)).status_code == 404
    assert browser.everything() == before
    nobody = browser.house.app.test_client()
    assert nobody.post(f"/stop/{token}", data={"List-Unsubscribe": "One-Click"}).status_code == 200
    after = browser.everything()
    assert {name for name in after if after[name] != before.get(name)} == {"mail_target"}
