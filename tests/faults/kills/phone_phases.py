"""What a phone is doing when it is killed, and what must be true of its database after that.

Every phase keeps a phone and a plot of its own over all its rounds. Each round: begin, kill at a moment, open the same
profile, look at the database as it lies there, then sync and compare with the server.
"""

from __future__ import annotations

import json
from abc import ABC, abstractmethod
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, ClassVar

from playwright.sync_api import Page

from tests.browser.phone import Phone
from tests.browser.server import ServerProcess
from tests.faults.kills.bare_page import Copy, Heard, begin, copy_of, open_bare
from tests.faults.kills.sent_photos import not_there
from tests.faults.kills.victims import aim, kill

Body = dict[str, Any]


@dataclass
class Home:
    """The server of a campaign, and where its phones lie."""

    server: ServerProcess
    script: Path
    make: Callable[..., Phone]

    def new_plot(self) -> tuple[str, dict[str, str]]:
        """A plot with nothing in it; what a script sends to write there."""
        code = self.server.code_for(None)
        body = json.dumps({"code": code, "device_name": "script", "want": "token"}).encode()
        paired = self.server.call("POST", "/api/v1/pair", body=body)
        return str(paired["plot_id"]), {"Authorization": f"Bearer {paired['token']}"}

    def code(self, headers: dict[str, str]) -> str:
        """A code for one more phone, asked for by an owner."""
        body = json.dumps({"role": "owner"}).encode()
        return str(self.server.call("POST", "/api/v1/codes", body, headers)["code"])


class Phase(ABC):
    """One kind of work. `span` is the time [s] from its beginning within which the kill falls."""

    name: ClassVar[str]
    begins: ClassVar[str] = "starts"
    call: ClassVar[str]
    span: float = 0.8

    def __init__(self, home: Home, victim: str) -> None:
        self.home, self.victim = home, victim
        self.plot, self.headers = home.new_plot()
        self.phone = home.make(home.server.url, f"{self.name}-{victim}")
        page, _ = open_bare(self.phone, home.script)
        assert page.evaluate("(code) => storm.pair(code, 'killed')", home.code(self.headers))["ok"]
        self.phone.close()  # in peace: Chromium writes cookies up to half a minute late
        self.phone.open()
        #: record → the newest note that the phone promised to keep
        self.promised: dict[str, str] = {}
        self.photos: set[str] = set()
        self.set_up()

    def set_up(self) -> None:  # noqa: B027  # a phase may need none
        """What is there before the first round, and how long the work takes."""

    def prepare(self, page: Page) -> None:  # noqa: B027  # a phase may need none
        """What a round begins from."""

    @abstractmethod
    def is_right(self, copy: Copy, heard: Heard) -> None:
        """Look at what the kill has left."""

    def was_at_it(self, copy: Copy, heard: Heard) -> bool:
        """Did the kill fall into an act that had begun and had not been promised?"""
        return bool(heard.all("starts")) and not heard.all("ends")

    def bare(self) -> tuple[Page, Heard]:
        return open_bare(self.phone, self.home.script)

    def measured(self, page: Page, heard: Heard) -> float:
        """Do the work once to its end; how long it takes [s]."""
        took: float = page.evaluate(
            f"(async () => {{ const began = performance.now(); await storm.{self.call};"
            " return performance.now() - began; })()"
        )
        assert heard.all("ends")
        return took / 1000

    def round(self, part: float) -> bool:
        """Kill after `part` of the span. True when it fell into an act."""
        page, heard = self.bare()
        self.prepare(page)
        pids = aim(self.phone, self.victim)
        begin(page, self.call)
        for _ in range(2_000):
            if not self.begins or heard.all(self.begins):
                break
            page.wait_for_timeout(1)
        page.wait_for_timeout(1000 * part * self.span)
        kill(self.phone, self.victim, pids)
        page, _ = self.bare()
        copy = copy_of(page)
        self.is_right(copy, heard)
        at_it = self.was_at_it(copy, heard)
        self.converge(page)
        return at_it

    def converge(self, page: Page) -> None:
        """Sync; then server and phone have the same, and all that was promised is there."""
        for _ in range(5):
            phase = page.evaluate("storm.sync()")
            copy = copy_of(page)
            if not copy["rows"]["outbox"] and not any("waiting" in row for row in copy["rows"]["photos"]):
                break
            page.wait_for_timeout(1_000)
        assert phase == "idle" and copy["rows"]["outbox"] == [], (phase, copy["rows"]["outbox"][:3])
        there = {r["id"]: r for r in self.home.server.records(self.plot, self.headers) if not r["deleted"]}
        here = {row["id"]: row for row in copy["rows"]["records"] if not row["deleted"]}
        assert {i: (r["rev"], r["body"]) for i, r in there.items()} == {
            i: (r["rev"], r["body"]) for i, r in here.items()
        }
        assert all(not r["conflicts"] for r in there.values())
        lost = {i: note for i, note in self.promised.items() if there[i]["body"]["note"] != note}
        assert lost == {}
        lacking = not_there(self.home.server, self.plot, self.headers, there.values(), self.photos)
        assert lacking == set(), "a photo that was promised did not reach the server"


def values_of(copy: Copy) -> dict[str, str]:
    """Record → its note as the screens would show it: the server's copy, overlaid with what is queued."""
    notes = {row["id"]: row["body"].get("note") for row in copy["rows"]["records"]}
    for op in sorted(copy["rows"]["outbox"], key=lambda one: int(one["n"])):
        notes[op["id"]] = op["set"].get("note", notes[op["id"]])  # KeyError: an operation without its record
    return notes


def record_and_outbox_agree(copy: Copy) -> None:
    """I2 and the transaction of a save: no operation without its record, no unsent record without an operation."""
    rows = {row["id"]: row for row in copy["rows"]["records"]}
    queued = defaultdict(list)
    for op in copy["rows"]["outbox"]:
        queued[op["id"]].append(op)
    assert set(queued) <= set(rows)
    # Answers of a large batch are taken in with the next pull; until then the archive has the operation.
    sent = {op["id"] for row in copy["rows"]["archive"] for op in row["ops"]}
    unsent = {i for i, row in rows.items() if row["rev"] == 0}
    assert unsent - sent <= set(queued)
    for i, ops in queued.items():
        assert rows[i].get("own", [])[-len(ops) :] == [
            op["op_id"] for op in sorted(ops, key=lambda o: int(o["n"]))
        ]


def whole_transactions(copy: Copy) -> None:
    """Records that one transaction made are there all together."""
    made: Counter[str] = Counter()
    typed = {op["id"]: op["set"]["observer"] for op in copy["rows"]["outbox"] if "observer" in op["set"]}
    for row in copy["rows"]["records"]:
        made[typed.get(row["id"], row["body"].get("observer"))] += 1
    assert {tag: n for tag, n in made.items() if n != int(tag.partition("/")[2])} == {}, "half an act"


class Saving(Phase):
    """Records of one person, one to three in a transaction."""

    name, begins, call = "save", "begins", "saving()"
    span = 0.4

    def is_right(self, copy: Copy, heard: Heard) -> None:
        record_and_outbox_agree(copy)
        whole_transactions(copy)
        self.take_promises(values_of(copy), heard)

    def take_promises(self, found: dict[str, str], heard: Heard) -> None:
        """I1. What was promised is there, or what came after it: the last words of a dying page are not all heard."""
        for values in heard.all("has"):
            self.promised.update(dict(values))
        wrong = {i: (note, found.get(i)) for i, note in self.promised.items() if found.get(i, "") < note}
        assert wrong == {}, wrong
        self.promised.update(found)

    def was_at_it(self, copy: Copy, heard: Heard) -> bool:
        return len(heard.all("begins")) > len(heard.all("has"))


class Photographing(Saving):
    """Photos with their small pictures, each followed by the record that names it."""

    name, begins, call = "photo", "photo_begins", "photographing()"
    span = 1.0

    def is_right(self, copy: Copy, heard: Heard) -> None:
        super().is_right(copy, heard)
        self.photos |= set(heard.all("photo"))
        rows = {row["sha256"]: row for row in copy["rows"]["photos"]}
        assert {sha for sha, row in rows.items() if row["bytes"]["sha256"] != sha} == set(), "half a photo"
        assert self.photos <= set(rows)
        # A photo and its small picture are one transaction.
        assert set(rows) == {row["sha256"] for row in copy["rows"]["thumbs"]}
        named = {p["sha256"] for op in copy["rows"]["outbox"] for p in op["set"].get("photos", [])}
        assert named <= set(rows)

    def was_at_it(self, copy: Copy, heard: Heard) -> bool:
        return len(heard.all("photo_begins")) > len(heard.all("photo")) or super().was_at_it(copy, heard)


class Pushing(Phase):
    """Two hundred records on their way, in batches."""

    name, call = "push", "pushing(40)"

    def set_up(self) -> None:
        page, heard = self.bare()
        page.evaluate("storm.sync()")
        self.prepare(page)
        self.span = 1.1 * self.measured(page, heard)

    def prepare(self, page: Page) -> None:
        self.promised.update(dict(page.evaluate("storm.queue(200)")))

    def is_right(self, copy: Copy, heard: Heard) -> None:
        """I2: what is no longer queued has reached the server, with its value."""
        record_and_outbox_agree(copy)
        queued = {op["id"] for op in copy["rows"]["outbox"]}
        there = {r["id"]: r for r in self.home.server.records(self.plot, self.headers)}
        gone = {i for i in self.promised if i not in queued and i not in there}
        assert gone == set(), "left the outbox and never reached the server"
        here = {row["id"] for row in copy["rows"]["records"]}
        assert set(self.promised) <= here
