"""A household with https: its server, its certificate, and a phone that trusts by a store of its own."""

from __future__ import annotations

import os
import re
import signal
import time
from pathlib import Path

import pytest
from playwright.sync_api import Error as BrowserError
from playwright.sync_api import Page, Playwright

from tests.browser.paper_plot import join
from tests.browser.phone import Phone
from tests.browser.server import ServerProcess, free_port
from tests.browser.small_plot import LONG, new_plot
from tests.browser.trust import TrustStore, serial_at, wait_for_https
from underboard.certificates.keeping import Keeper

NAME = "plot.home.arpa"


class Home:
    """A household: a server with its certificate, a phone with its trust store."""

    def __init__(self, playwright: Playwright, folder: Path, *more: str) -> None:
        """`more`: names beside its own."""
        data = folder / "data"
        data.mkdir()
        self.https_port = free_port()
        (data / "settings.toml").write_text(f"https_port = {self.https_port}\n")
        self.server = ServerProcess(data).without_jobs()
        self.said = self.server.here(
            "certificate", "--name", NAME, *(word for name in more for word in ("--name", name))
        )
        self.keeper = Keeper(data)
        self.server.start()
        wait_for_https(self.https_port)
        self.plot_id = new_plot(self.server)
        self.store = TrustStore(folder / "home")
        self.folder = folder
        self.phone = Phone(
            playwright, folder / "profile", self.https(), whole=True, env=self.store.environment
        )

    def https(self, name: str = NAME) -> str:
        return f"https://{name}:{self.https_port}"

    def http(self, path: str = "/") -> str:
        """What somebody types at another machine: the browser does not know that it is this one."""
        return f"http://{NAME}:{self.server.port}{path}"

    def trust_anew(self) -> Page:
        """Have the phone trust what the page for that gives out, as a person does; its browser is begun again."""
        page = self.phone.page
        page.goto(self.http("/install-ca"))
        with page.expect_download() as loading:
            page.locator("details[open] a.file").click()
        file = self.folder / "fetched.pem"
        loading.value.save_as(file)
        self.phone.close()
        self.store.install(file)
        return self.phone.open()

    def join(self, who: str) -> Page:
        """Pair the phone at the address that it stands at."""
        return join(self.phone, self.server, self.plot_id, who)

    def reread(self) -> None:
        """Have the server take up what is in the files, before it looks by itself.

        For about a second those who showed the former certificate answer beside those who show the new one.
        """
        watcher, *former = self.server.pids()
        os.kill(watcher, signal.SIGHUP)
        end = time.monotonic() + 180
        while set(former) & set(self.server.pids()):
            assert time.monotonic() < end, "who showed the former certificate answers still"
            time.sleep(0.1)
        written = self.keeper.shown()
        assert written is not None
        assert self.another_than(None) == written.serial

    def another_than(self, serial: int | None) -> int:
        """Wait until another certificate is shown; its serial number."""
        end = time.monotonic() + 180
        while True:
            try:
                if (seen := serial_at(self.https_port)) != serial:
                    return seen
            except OSError:
                pass  # between one worker and the next
            assert time.monotonic() < end, "the certificate is the old one still"
            time.sleep(0.2)


def refusal(page: Page, url: str) -> str:
    """What the browser says instead of opening an address; in a tab of its own, which its error page then fills."""
    tab = page.context.new_page()
    with pytest.raises(BrowserError) as caught:
        tab.goto(url)
    tab.close()
    found = re.search(r"net::(\w+)", str(caught.value))
    assert found, caught.value
    return found.group(1)


def sync_now(page: Page) -> None:
    with page.expect_response(lambda answer: "/sync/pull" in answer.url, timeout=LONG) as told:
        page.get_by_role("button", name="Sync now").click(timeout=LONG)
    assert told.value.status in (200, 304)
