"""The phone is killed while its database is brought from the first released version to the newest."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from playwright.sync_api import Page

from tests.faults.kills.bare_page import Copy, Heard, unpacked
from tests.faults.kills.phone_phases import Pushing, record_and_outbox_agree

PHONES = Path(__file__).parents[3] / "fixtures" / "phone_stores"
NEWEST = max(int(file.stem) for file in PHONES.glob("*.json"))


def released(version: int) -> Copy:
    """The database of a release, as a client of that release had made it."""
    copy: Copy = json.loads((PHONES / f"{version:04}.json").read_text("utf-8"))
    return copy


def as_of(copy: Copy, old: Copy) -> Copy:
    """What is in this database, in the stores and indexes of an older one."""
    rows = {name: copy["rows"][name] for name in old["shapes"]}
    return {"version": old["version"], "shapes": old["shapes"], "rows": rows}


class Upgrading(Pushing):
    """From version 1: sixty records and three photos that no server has seen, beside all that is synced."""

    name, begins, call = "upgrade", "", "upgrading()"  # it is over before its first word is heard

    def set_up(self) -> None:
        page, heard = self.bare()
        page.evaluate("storm.sync()")
        self.prepare(page)
        self.span = 0.6 * self.measured(page, heard)  # it commits well before its last word

    def prepare(self, page: Page) -> None:
        self.promised.update(dict(page.evaluate("storm.queue(60)")))
        page.evaluate("storm.photographing(3)")
        now = unpacked(page.evaluate("storm.copyStore('bytes')"))
        self.photos |= {row["sha256"] for row in now["rows"]["photos"]}
        old = as_of(now, released(1))
        page.evaluate("async (copy) => { await storm.close(); await storm.buildStore(copy); }", old)
        self.built: Copy = page.evaluate("storm.copyStore()")

    def is_right(self, copy: Copy, heard: Heard) -> None:
        """The old database or the new one, with everything in it."""
        assert copy["version"] in (1, NEWEST)
        assert copy["shapes"] == released(copy["version"])["shapes"]
        rows: dict[str, list[Any]] = {name: copy["rows"][name] for name in self.built["rows"]}
        rows["meta"] = [row for row in rows["meta"] if row["key"] != "backup"]
        before = {**self.built["rows"]}
        before["meta"] = [row for row in before["meta"] if row["key"] != "backup"]
        assert rows == before
        record_and_outbox_agree(copy)
        if copy["version"] == NEWEST:
            (backup,) = [row["value"] for row in copy["rows"]["meta"] if row["key"] == "backup"]
            assert json.loads(backup) == {"from": 1, "ops": before["outbox"]}

    def was_at_it(self, copy: Copy, heard: Heard) -> bool:
        return copy["version"] == 1 and not heard.all("ends")
