"""One page of the database overwritten, each page in turn: a start notices, or the page was free and all is there."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterator
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.browser.server import ServerProcess
from tests.faults.test_broken_disks import serve
from tests.store.kept_plot import Rows, all_rows, settings_in, store_of
from tests.store.sender import COUNT, new_plot, put
from underboard.cli.start_check import check_database
from underboard.config import Settings, SettingsError
from underboard.store.backup.making import make_backup
from underboard.store.database import settle

PAGE = 4096
RECORDS = 150


@dataclass(frozen=True)
class Home:
    """A data folder whose database is stopped and whole, and what is in it."""

    settings: Settings
    whole: bytes
    rows: Rows
    backup: Path

    @property
    def file(self) -> Path:
        return self.settings.data / "underboard.sqlite3"

    def page(self, number: int) -> bytes:
        return self.whole[(number - 1) * PAGE : number * PAGE]

    def tear(self, number: int, new: bytes) -> bytes:
        """Put another page in the place of one; return the whole file as it is then."""
        torn = self.whole[: (number - 1) * PAGE] + new + self.whole[number * PAGE :]
        self.file.write_bytes(torn)
        return torn

    def free_page(self) -> int:
        """A page that the first trunk of the list of free ones names (sqlite.org/fileformat2.html, 1.5)."""
        trunk = int.from_bytes(self.whole[32:36], "big")
        listed = self.page(trunk)
        assert trunk and int.from_bytes(listed[4:8], "big")
        return int.from_bytes(listed[8:12], "big")


@pytest.fixture
def home(tmp_path: Path) -> Home:
    settings = settings_in(tmp_path / "home", backup_folder="kept")
    settings.settings_file.write_text('backup_folder = "kept"\n')
    with store_of(settings):
        (phone,) = new_plot("phone")
        phone.push(*(put({**COUNT, "note": f"{number} " + "x" * 600}) for number in range(RECORDS)))
    file = settings.data / "underboard.sqlite3"
    with closing(sqlite3.connect(file)) as connection:  # as a table leaves them that is no longer needed
        connection.execute("CREATE TABLE chaff AS SELECT hex(randomblob(20000)) AS husk")
        connection.execute("DROP TABLE chaff")
    settle(settings.database)
    (settings.data / "kept").mkdir()
    made = make_backup(settings, settings.data / "kept", datetime.now(UTC)).file
    return Home(settings, file.read_bytes(), all_rows(settings.database), made)


def instead(home: Home, number: int, dice: random.Random) -> Iterator[bytes]:
    """What may stand in a page's place: noise, nothing, or what belongs into another page (a write gone astray)."""
    yield dice.randbytes(PAGE)
    yield bytes(PAGE)
    other = home.page(dice.randrange(len(home.whole) // PAGE) + 1)
    if other != home.page(number):
        yield other


def test_every_page_in_turn_is_missed_or_not_needed(home: Home) -> None:
    dice = random.Random(7)
    spared = []
    pages = len(home.whole) // PAGE
    assert pages > 60
    for number in range(1, pages + 1):
        for new in instead(home, number, dice):
            torn = home.tear(number, new)
            try:
                check_database(home.settings)
            except SettingsError as fault:
                said = str(fault)
                assert "damaged" in said and f"{home.backup}" in said, said
                assert home.file.read_bytes() == torn, "the damaged file is evidence"
                continue
            finally:
                for log in ("-wal", "-shm"):
                    with suppress(FileNotFoundError):
                        Path(f"{home.file}{log}").unlink()
            # Not noticed: then nothing may be missing or changed, whichever way it is asked for.
            spared.append(number)
            assert all_rows(home.settings.database) == home.rows, number
            with closing(sqlite3.connect(home.file)) as connection:
                assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)], number
    assert home.free_page() in spared and 0 < len(set(spared)) < pages // 4


def test_an_empty_tables_page_in_the_place_of_the_plots_is_noticed(home: Home) -> None:
    """Whole in itself, so that SQLite finds nothing wrong with it; but records are left without their plot."""
    with closing(sqlite3.connect(home.file)) as connection:
        roots = dict(connection.execute("SELECT name, rootpage FROM sqlite_master WHERE rootpage"))
    assert home.rows["change_apart"] == []
    home.tear(roots["sync_clock"], home.page(roots["change_apart"]))
    with closing(sqlite3.connect(home.file)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    with pytest.raises(SettingsError, match="points to nothing"):
        check_database(home.settings)


@pytest.mark.timeout(600)
def test_serve_refuses_offers_the_backup_and_starts_on_a_free_page_or_on_what_was_put_back(
    home: Home,
) -> None:
    """The same with real processes: a free page, then page 1, a page of a table and one of an index."""
    server = ServerProcess(home.settings.data).without_jobs()
    dice = random.Random(8)
    home.tear(home.free_page(), dice.randbytes(PAGE))
    assert started(server)
    rows = all_rows(home.settings.database)
    assert (rows["record"], rows["change_apart"]) == (home.rows["record"], home.rows["change_apart"])

    with closing(sqlite3.connect(home.file)) as connection:
        roots = dict(connection.execute("SELECT name, rootpage FROM sqlite_master WHERE rootpage"))
    first = home.page(1)[:100] + dice.randbytes(PAGE - 100)  # says that this is a database, and no more
    astray = home.page(roots["sqlite_autoindex_record_1"])
    index, table = roots["ix_record_plot_id_seq"], roots["record"]
    for number, new in ((1, first), (table, dice.randbytes(PAGE)), (index, astray)):
        torn = home.tear(number, new)
        code, words = serve(server)
        assert (code, words.count("\n")) == (2, 1), words
        assert "damaged" in words
        assert f"underboard restore --data {home.settings.data} {home.backup}" in words
        assert home.file.read_bytes() == torn, "the damaged file is evidence"
    server.run("restore", str(home.backup))
    assert started(server)
    restored = {row[0] for row in all_rows(home.settings.database)["record"]}
    assert restored == {row[0] for row in home.rows["record"]}


def started(server: ServerProcess) -> bool:
    """Whether the server begins, and is well; it is stopped again."""
    try:
        server.start()
        return bool(server.call("GET", "/healthz")["why"] == [])
    finally:
        server.stop()
