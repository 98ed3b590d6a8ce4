"""4 of the ten nastiest: yesterday's data is put back under phones that hold newer, acknowledged records.

By copying the whole data folder back, which only a phone can notice; by a restore, twice in a row because somebody
was not sure that it had worked; by a plain copy of the file while the server was down, also twice. Each time a new
epoch is begun, the phones bring today back, nothing comes twice, and what was not yet sent goes through as well.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.browser.server import ServerProcess
from tests.faults.hands import Hand, Hands, all_alike, new_id, stored
from tests.faults.house import House
from tests.faults.nastiest.conftest import Open, house_on
from tests.store.kept_plot import no_key
from underboard.config import load_settings
from underboard.store.backup.making import make_backup
from underboard.store.backup.restoring import restore

AT = "2026-05-01T05:10:00+01:00"
YESTERDAY = {"old", "kept", "gone"}
TODAY = {"new", "old, corrected", "kept, corrected"}


class Days:
    """Two phones of one plot. Yesterday three notes; today one more, written twice, two corrected, one removed, all
    acknowledged."""

    def __init__(self, hands: Hands, bug: str = "none") -> None:
        self.house, (self.a, self.b) = hands.house, hands.meet(2, bug)
        self.ids = {word: new_id() for word in ("old", "kept", "gone", "new", "late")}
        for word in sorted(YESTERDAY):
            self.write(self.a, word, word)
        self.sync()

    def write(self, phone: Hand, word: str, text: str) -> None:
        phone.save(self.ids[word], "note", text=text, observed_at=AT)

    def sync(self) -> None:
        for phone in (self.a, self.b, self.a):
            assert phone.sync()["phase"] == "idle"

    def today(self) -> None:
        self.write(self.a, "new", "new, but wrong")
        self.write(self.b, "old", "old, corrected")
        self.sync()
        self.write(self.a, "new", "new")
        # On top of what the other one wrote today, which the backup will not know.
        self.write(self.a, "kept", "kept, corrected")
        self.b.remove(self.ids["gone"])
        self.sync()
        assert self.a.outbox == self.b.outbox == []

    def all_back(self, *more: str) -> None:
        """Both phones and the server show today, nothing is disputed, nothing there twice."""
        all_alike(self.house, [self.a, self.b])
        living = [record for record in self.house.do_truth()["records"] if not record["deleted"]]
        assert sorted(record["body"]["text"] for record in living) == sorted({*TODAY, *more})
        assert [record["conflicts"] for record in living] == [[]] * len(living)
        assert stored(self.house, "text") >= {*YESTERDAY, *TODAY, *more}

    @property
    def epoch(self) -> str:
        return str(self.house.do_truth()["epoch"])


@pytest.fixture
def running(tmp_path: Path) -> Iterator[tuple[House, ServerProcess]]:
    data = tmp_path / "home"
    data.mkdir()
    with house_on(data) as house:
        server = ServerProcess(data).without_jobs()
        try:
            yield house, server.start()
        finally:
            server.stop()


def copied(file: Path, to: Path) -> None:
    """A copy of the database as it is now, the server running."""
    with closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(to)) as target:
        source.backup(target)


@pytest.mark.timeout(900)  # a server that is started five times, on a machine that is busy
def test_phones_bring_back_what_the_backup_lacks(
    running: tuple[House, ServerProcess], hands: Open, tmp_path: Path
) -> None:
    house, server = running
    days = Days(hands(house, server.url))
    file, kept, backup = (
        server.data / "underboard.sqlite3",
        tmp_path / "yesterday.sqlite3",
        tmp_path / "b.tar",
    )
    settings = load_settings(server.data, {})
    make_backup(settings, backup, datetime.now(UTC))
    copied(file, kept)
    mark = settings.high_water.read_bytes()
    days.today()
    epochs = [days.epoch]

    house.let_go()
    server.stop()
    shutil.copyfile(kept, file)
    settings.high_water.write_bytes(mark)
    server.start()
    assert stored(house, "text") == YESTERDAY and days.epoch == epochs[0]
    days.all_back()
    epochs.append(days.epoch)

    # Somebody writes on while the server is down.
    house.let_go()
    server.stop()
    days.write(days.a, "late", "written meanwhile")
    for _ in range(2):
        restore(settings, backup, no_key, datetime.now(UTC))
    server.start()
    assert stored(house, "text") == YESTERDAY
    days.all_back("written meanwhile")
    epochs.append(days.epoch)

    for _ in range(2):
        house.let_go()
        server.stop()
        shutil.copyfile(kept, file)
        server.start()
        assert stored(house, "text") == YESTERDAY
        days.all_back("written meanwhile")
        epochs.append(days.epoch)
    assert len(set(epochs)) == 5


def told_by_calls(days: Days) -> None:
    """The same in short: the server's database is put back from behind."""
    kept = days.house.do_snapshot()
    days.today()
    for _ in range(2):
        days.house.do_restore(kept)
        days.all_back()


def test_on_one_database_as_it_is_put_back_from_behind(calling: Hands) -> None:
    told_by_calls(Days(calling))


def shown_while_it_sends_its_past_again(days: Days) -> str:
    """A wrote, B wrote over it having seen it; both are lost with the server. B is back first. What does A see?"""
    kept = days.house.do_snapshot()
    days.write(days.a, "old", "A's")
    days.sync()
    days.write(days.b, "old", "B's")
    days.sync()
    days.house.do_restore(kept)
    days.b.sync()
    days.a.pull()
    assert [op["set"]["text"] for op in days.a.outbox if op["id"] == days.ids["old"]] == ["old", "A's"]
    return str(days.a.view(days.ids["old"])["body"]["text"])


def test_a_phone_that_sends_its_past_again_shows_the_present(calling: Hands) -> None:
    """Else its person would type over what he cannot see."""
    assert shown_while_it_sends_its_past_again(Days(calling)) == "B's"
    assert shown_while_it_sends_its_past_again(Days(calling, "replay_view")) == "A's"


def test_phones_that_keep_no_archive_lose_today(calling: Hands) -> None:
    with pytest.raises(AssertionError):
        told_by_calls(Days(calling, "no_archive"))
