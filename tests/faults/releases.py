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
from tests.browser.small_plot import (
    LONG,
    PUSH,
    board,
    counts_of,
    new_plot,
    phone_of,
    shows,
    walk_path,
)
from tests.browser.small_plot import until as until_stored
from tests.browser.warned import ALL_SENT
from tests.faults.old_release import OldServer, checked_out, git, keep, last_with_store, unpacked

ENDED = re.compile("In step|Server trouble")
VERSION = "indexedDB.databases().then((all) => all.find(({ name }) => name === 'underboard')?.version)"

OUTBOX = """async () => {
  const promised = (request) => new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  const db = await promised(indexedDB.open('underboard'));
  const ops = await promised(db.transaction('outbox').objectStore('outbox').getAll());
  db.close();
  return ops;
}"""


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

    def outbox(self) -> list[dict[str, Any]]:
        """What is queued on the phone, as it lies on its disk."""
        ops: list[dict[str, Any]] = self.page.evaluate(OUTBOX)
        return ops

    def ask(self) -> None:
        """Let the phone push and pull, however that ends."""
        page = self.page
        with page.expect_response(PUSH, timeout=LONG):  # it may ask by itself as soon as it opens
            self.phone.go("/sync")
            page.get_by_role("button", name=re.compile("^Sync now")).click(timeout=LONG)
        expect(page.get_by_role("main")).to_contain_text(ENDED, timeout=LONG)

    def nothing_lost(self, queued: list[dict[str, Any]]) -> None:
        """Each of these is still queued on the phone, or on the server: as the value, or as one to choose."""
        still = {op["op_id"] for op in self.outbox()}
        there = {one["id"]: one for one in counts_of(self.now, self.plot)}
        for op in queued:
            if op["op_id"] not in still:
                record = there[op["id"]]
                sides = [record["body"], *(side["set"] for side in record["conflicts"])]
                assert any(op["set"].items() <= side.items() for side in sides), (op, record)

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
    # The script that looks on at the new server was let in later: another one does from here on.
    move.new = ServerProcess(move.data, move.new.port).without_jobs()
    move.count(2, 5)
    queued = move.outbox()
    assert queued
    move.go_to(move.old)
    move.phone.offline(False)
    move.ask()
    move.nothing_lost(queued)
    say(f"new page, old server with its old data: what was queued is there. Sync says: {told(move.page)}")
    move.count(1, 3)
    left = move.outbox()
    assert left, "counted with no network, and not queued"
    queued += left
    move.go_to(move.new)
    still = [(op["op_id"], op["set"]) for op in move.outbox()]
    assert still == [(op["op_id"], op["set"]) for op in left], (
        "a queue did not outlast the change of the server"
    )
    move.phone.offline(False)
    move.ask()
    move.holds_or_asks()
    expect(move.page.get_by_role("main")).to_contain_text(ALL_SENT, timeout=LONG)
    assert move.outbox() == []
    move.nothing_lost(queued)
    say(f"new page, new server: every slug is there. Sync says: {told(move.page)}")
    assert move.phone.errors == []


def count_of(record: dict[str, Any]) -> int:
    return int(record["body"]["count"])


def told(page: Page) -> str:
    return re.sub(r"\s+", " ", page.get_by_role("main").inner_text())[:300]


def main() -> int:
    """The command `tests/faults/releases`."""
    parser = argparse.ArgumentParser(description="A phone between an earlier release and this one.")
    parser.add_argument("--old", help="commit of the earlier release; default: the kept one")
    parser.add_argument(
        "--keep", type=int, metavar="VERSION", help="keep the last release of this store version"
    )
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        if asked.keep:
            print(keep(checked_out(last_with_store(asked.keep), Path(name)), asked.keep))
            return 0
        old = checked_out(git("rev-parse", asked.old), Path(name)) if asked.old else unpacked(1, Path(name))
        with sync_playwright() as playwright:
            move = Move(playwright, Path(name), old)
            try:
                story(move, lambda words: print(f"  {words}", flush=True))
            finally:
                move.phone.close()
                move.now.stop()
    return 0
