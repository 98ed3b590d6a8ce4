"""A phone between an earlier release and this one: the server goes on, the phone goes on, the server goes back.

The old page meets the new server; the new page meets the old server, which has been put back with the data it had
before; then all are new. What was ever counted is there at the end.
"""

from __future__ import annotations

import argparse
import re
import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, Playwright, expect, sync_playwright

from tests.browser.phone import Phone, until
from tests.browser.server import ServerProcess, free_port
from tests.browser.small_plot import LONG, bearer, board, new_plot, phone_of, shows, walk_path
from tests.browser.small_plot import until as until_stored
from tests.browser.warned import ALL_SENT
from tests.faults.old_release import OldServer, checked_out, git, last_with_store

VERSION = "indexedDB.databases().then((all) => all.find(({ name }) => name === 'underboard')?.version)"


class Move:
    """One phone and one address, at which the server of either release stands."""

    def __init__(self, playwright: Playwright, folder: Path, old: Path) -> None:
        self.data, self.kept = folder / "data", folder / "kept"
        self.data.mkdir()
        port = free_port()
        self.old = OldServer(self.data, port, old).without_jobs()
        self.new = ServerProcess(self.data, port).without_jobs()
        self.now: ServerProcess = self.old.start()
        self.plot = new_plot(self.old)
        self.phone = phone_of(
            lambda url, name: Phone(playwright, folder / name, url), self.old, self.plot, "Ada"
        )
        self.page = self.phone.page
        self.boards = {1: 5, 2: 0}

    def go_to(self, server: ServerProcess) -> None:
        self.now.stop()
        self.now = server.start()

    def count(self, number: int, slugs: int) -> None:
        """So many more slugs under a board; with no network, as on the plot."""
        self.phone.offline()
        page = self.phone.go(walk_path(self.plot))
        board(page, number)
        for _ in range(slugs):
            self.boards[number] += 1
            page.get_by_role("button", name="One more slug").click()
            shows(page, number, str(self.boards[number]))

    def home(self) -> None:
        """Back on the wifi; what is on the phone is on the server after a while."""
        self.phone.offline(False)
        page = self.phone.go("/sync")
        page.get_by_role("button", name=re.compile("^Sync now")).click(timeout=LONG)
        expect(page.get_by_role("main")).to_contain_text(ALL_SENT, timeout=LONG)
        self.holds()

    def holds(self) -> None:
        """Both have every slug."""
        wanted = sorted(count for count in self.boards.values() if count)
        until_stored(self.now, self.plot, self.page, lambda found: sorted(map(count_of, found)) == wanted)
        page = self.phone.go(walk_path(self.plot))
        for number, count in self.boards.items():
            if count:
                shows(page, number, str(count))

    def holds_or_asks(self) -> None:
        """Each number is the count of its board on the server, or one of two that wait for somebody's choice."""
        wanted = set(self.boards.values())

        def there(found: list[dict[str, Any]]) -> bool:
            sides = {side["set"].get("count") for one in found for side in one["conflicts"]}
            return wanted <= {*map(count_of, found), *sides}

        until_stored(self.now, self.plot, self.page, there)

    def version(self) -> int:
        return int(self.page.evaluate(VERSION))


def offered(page: Page) -> None:
    expect(page.get_by_text("A newer Underboard is ready.")).to_be_visible(timeout=LONG)


def story(move: Move, say: Callable[[str], None]) -> None:
    move.count(2, 3)
    move.home()
    before = move.version()
    say(f"old page and old server: 8 slugs, database of the phone at {before}")
    move.old.stop()
    shutil.copytree(move.data, move.kept)  # what whoever means to go back keeps

    move.count(1, 2)
    move.go_to(move.new)
    move.home()
    assert move.version() == before
    say("old page, new server: 2 more, counted before it came, are stored")
    move.count(2, 1)
    move.home()
    say("old page, new server: 1 more, counted after")

    move.phone.go("/")
    offered(move.page)
    move.count(1, 4)
    offered(move.page)
    assert move.version() == before
    say("offered, not forced: 4 more with the old page, no network")
    move.page.get_by_role("button", name="Update").click()
    until(move.page, f"{VERSION}.then((version) => version > {before})")
    shows(move.phone.go(walk_path(move.plot)), 1, str(move.boards[1]))
    say(f"new page, no network: database at {move.version()}, nothing lost")
    move.home()
    say("new page, new server: all stored")

    move.now.stop()
    shutil.rmtree(move.data)
    shutil.copytree(move.kept, move.data)
    bearer.cache_clear()  # the script that looks on was let in later
    move.count(2, 5)
    move.go_to(move.old)
    move.phone.offline(False)
    page = move.phone.go("/sync")
    page.get_by_role("button", name=re.compile("^Sync now")).click(timeout=LONG)
    page.wait_for_timeout(10_000)  # it may fail, and may not lose anything by it
    say(f"new page, old server with its old data. Sync says: {told(page)}")
    move.go_to(move.new)
    page = move.phone.go("/sync")
    page.get_by_role("button", name=re.compile("^Sync now")).click(timeout=LONG)
    move.holds_or_asks()
    say(f"new page, new server: every slug is there. Sync says: {told(page)}")
    assert move.phone.errors == []


def count_of(record: dict[str, Any]) -> int:
    return int(record["body"]["count"])


def told(page: Page) -> str:
    return re.sub(r"\s+", " ", page.get_by_role("main").inner_text())[:300]


def main() -> int:
    """The command `tests/faults/releases`."""
    parser = argparse.ArgumentParser(description="A phone between an earlier release and this one.")
    parser.add_argument("--old", help="commit of the earlier release; default: last with store version 1")
    asked = parser.parse_args()
    commit = git("rev-parse", asked.old) if asked.old else last_with_store(1)
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playwright:
        old = checked_out(commit, Path(name))
        print(f"earlier release: {git('log', '-1', '--format=%h %cs', commit)}", flush=True)
        move = Move(playwright, Path(name), old)
        try:
            story(move, lambda words: print(f"  {words}", flush=True))
        finally:
            move.phone.close()
            move.now.stop()
    return 0
