"""Plain http from another machine, by a real wire: what comes in at an address of the machine that is not loopback.

The server listens at all addresses, and is asked at one that a neighbour would use; who asks it then is at that address
as well, for the system answers itself from where it is spoken to. Nothing is made up: neither the name nor the sender.
Run by test_from_elsewhere.py, in a network of its own.
"""

from __future__ import annotations

import json
import urllib.request
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.error import HTTPError

import pytest
from playwright.sync_api import Playwright, expect

from tests.attacks.neighbour import ADDRESS, take_address
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess, free_port
from tests.browser.small_plot import LONG, new_plot
from tests.browser.trust import wait_for_https

NAME = "plot.home.arpa"


@dataclass(frozen=True)
class There:
    """The server as a neighbour finds it."""

    address: str
    server: ServerProcess
    https_port: int
    said: dict[str, Any]
    plot_id: str

    def url(self, path: str) -> str:
        return f"http://{self.address}:{self.server.port}{path}"

    def asked(self, method: str, path: str, **headers: str) -> tuple[int, str]:
        request = urllib.request.Request(
            self.url(path), b"{}" if method == "POST" else None, headers, method=method
        )
        opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
        try:
            with opener.open(request, timeout=60) as answer:
                return answer.status, answer.read().decode()
        except HTTPError as refusal:
            return refusal.code, refusal.read().decode()


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> Iterator[There]:
    take_address()
    server = ServerProcess(tmp_path_factory.mktemp("there")).without_jobs()
    https_port = free_port()
    (server.data / "settings.toml").write_text(f"https_port = {https_port}\n")
    said = server.here("certificate", "--name", NAME)
    server.start("--host", "0.0.0.0")
    wait_for_https(https_port)
    yield There(ADDRESS, server, https_port, said, new_plot(server))
    server.stop()


def test_every_page_says_why_and_nothing_is_read_or_written(there: There) -> None:
    for path in ("/", "/diary", "/assets/app.js", "/sw.js"):
        status, page = there.asked("GET", path)
        assert status == 200 and "This address is not safe to write on" in page, path
        assert f'href="https://{NAME}:{there.https_port}/"' in page
    token = there.server.bearer(there.plot_id)
    pull = f"/api/v1/sync/pull?plot={there.plot_id}"
    for method, path in (("GET", pull), ("POST", "/api/v1/sync/push"), ("POST", "/api/v1/pair")):
        status, words = there.asked(method, path, **token, **{"Content-Type": "application/json"})
        assert (status, json.loads(words)["type"]) == (403, "/problems/not-secure"), path
        assert f"https://{NAME}:{there.https_port}" in json.loads(words)["detail"]
    # the same is read at the machine itself, so it is the way that was refused and not the asking
    assert there.server.call("GET", pull, headers=token)["records"]


def test_who_calls_himself_this_machine_or_says_to_have_come_by_https_is_not_believed(there: There) -> None:
    token = there.server.bearer(there.plot_id)
    for sham in (
        {"Host": f"127.0.0.1:{there.server.port}"},
        {"Host": "localhost", "X-Forwarded-For": "127.0.0.1"},
        {"X-Forwarded-Proto": "https", "Forwarded": "for=127.0.0.1;proto=https"},
    ):
        assert there.asked("GET", "/api/v1/me", **token, **sham)[0] == 403, sham


@pytest.mark.browser
def test_the_browser_shows_the_reason_and_keeps_nothing(
    there: There, playwright: Playwright, tmp_path: Path
) -> None:
    phone = Phone(playwright, tmp_path / "profile", there.url(""))
    try:
        page = phone.go(f"/round/x#pair={there.server.code_for(there.plot_id)}")
        expect(page.get_by_text("This address is not safe to write on")).to_be_visible(timeout=LONG)
        assert page.evaluate("isSecureContext") is False
        assert page.evaluate("'serviceWorker' in navigator") is False
        expect(page.get_by_role("link", name=f"https://{NAME}:{there.https_port}")).to_be_visible()
        digits = "".join(page.locator(".digits span").all_inner_texts())
        assert digits == there.said["authority_sha256"]
        # no field, no button: nothing that looks as if it kept something
        assert page.locator("input, textarea, select, button, form").count() == 0
        assert page.evaluate("indexedDB.databases()") == []
        assert phone.context.cookies() == []
        assert phone.errors == []
    finally:
        phone.close()
