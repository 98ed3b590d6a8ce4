"""Phones that are killed while they pull: what others changed, or all that there is."""

from __future__ import annotations

import json
import uuid
from datetime import datetime

from playwright.sync_api import Page

from tests.faults.kills.bare_page import Copy, Heard, copy_of
from tests.faults.kills.phone_phases import Phase

AT = "2026-05-03T05:30:00+01:00"


class Pulling(Phase):
    """Eight pages of records that somebody else has changed."""

    name, call = "pull", "pulling(100)"
    records = 800

    def set_up(self) -> None:
        self.revs = {self.new_id(n): 0 for n in range(self.records)}
        self.body = {"station_id": str(uuid.uuid4()), "state": "counted", "count": 1, "observed_at": AT}
        self.others_change()
        page, heard = self.bare()
        self.span = 1.1 * self.measured(page, heard)

    def new_id(self, n: int) -> str:
        return str(uuid.uuid4())

    def prepare(self, page: Page) -> None:
        self.others_change()

    def others_change(self) -> None:
        """Another device gives each record a value that was never used before."""
        epoch = self.home.server.call("GET", f"/api/v1/sync/pull?plot={self.plot}", headers=self.headers)[
            "epoch"
        ]
        frame = {
            "protocol": 1,
            "schema": 1,
            "plot": self.plot,
            "epoch": epoch,
            "sent_at": "2026-05-03T05:30:00Z",
        }
        ids = list(self.revs)
        for at in range(0, len(ids), 400):
            ops = [
                {"op_id": str(uuid.uuid4()), "kind": "put", "type": "slug_count", "id": i, "base_rev": self.revs[i],
                 "base_epoch": epoch, "set": {**self.body, "note": f"{i} {self.revs[i] + 1}"}}
                for i in ids[at : at + 400]
            ]  # fmt: skip
            raw = json.dumps({**frame, "ops": ops}).encode()
            answer = self.home.server.call("POST", "/api/v1/sync/push", raw, self.headers)
            assert {result["status"] for result in answer["results"]} == {"applied"}
        self.revs = {i: rev + 1 for i, rev in self.revs.items()}

    def is_right(self, copy: Copy, heard: Heard) -> None:
        """A page and its cursor are one: the server, asked from the phone's cursor, sends exactly what it lacks."""
        lacking = self.behind(copy)
        here = {row["id"]: (row["rev"], row["body"]["note"]) for row in copy["rows"]["records"]}
        newest = {i: (rev, f"{i} {rev}") for i, rev in self.revs.items()}
        assert {i for i, found in newest.items() if here.get(i) != found} == lacking

    def behind(self, copy: Copy) -> set[str]:
        meta = {row["key"]: row["value"] for row in copy["rows"]["meta"]}
        cursor = meta.get("standing", {}).get("cursor")
        path = f"/api/v1/sync/pull?plot={self.plot}&limit=1000" + (f"&cursor={cursor}" if cursor else "")
        page = self.home.server.call("GET", path, headers=self.headers)
        assert not page["more"]
        return {record["id"] for record in page["records"]}

    def was_at_it(self, copy: Copy, heard: Heard) -> bool:
        return super().was_at_it(copy, heard) and bool(self.behind(copy))


class Joining(Pulling):
    """A phone that has nothing pulls the plot. The ids tell the time of the counts, so many rows lie in one value."""

    name = "join"

    def new_id(self, n: int) -> str:
        """UUIDv7 (RFC 9562, 5.7) of the moment of the count."""
        stamp = f"{int(datetime.fromisoformat(AT).timestamp() * 1000):012x}"
        return f"{stamp[:8]}-{stamp[8:]}-7000-8000-{n:06}{uuid.uuid4().hex[:6]}"

    def prepare(self, page: Page) -> None:
        super().prepare(page)
        page.evaluate("storm.forget()")

    def converge(self, page: Page) -> None:
        super().converge(page)
        rows = copy_of(page)["rows"]
        assert 0 < len(rows["packs"]) * 20 < len(rows["records"])
