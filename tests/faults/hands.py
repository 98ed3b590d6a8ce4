"""Phones moved by hand: a test tells each of them what to do, and they do it with the client's own code in Node."""

from __future__ import annotations

import json
import subprocess
import uuid
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.faults.house import House

Fields = dict[str, Any]


class Hand:
    """One phone. A `fault` befalls the first request of what it is told, or each of a list in turn."""

    def __init__(self, hands: Hands, number: int, paired: Fields) -> None:
        self._hands, self.number, self.paired = hands, number, paired

    def _tell(self, do: str, **more: Any) -> Any:
        return self._hands.tell({"do": do, "phone": self.number, **more})

    def save(self, id_: str, type_: str = "note", form: Fields | None = None, **set_: Any) -> str:
        """Save fields of a record; `form` is the view that they were typed over, if it may be an older one."""
        self._tell("save", id=id_, type=type_, set=set_, **({"shown": form} if form else {}))
        return id_

    def remove(self, id_: str) -> None:
        self._tell("remove", id=id_)

    def resolve(self, id_: str, **set_: Any) -> None:
        """Settle all conflicts of a record that this phone shows."""
        self._tell("resolve", id=id_, set=set_)

    def push(self, *faults: str, limit: int = 500) -> Fields:
        """Send one batch; answers what the phone was told when that was no result."""
        return dict(self._tell("push", faults=faults, limit=limit))

    def pull(self, *faults: str, limit: int = 500) -> Fields:
        return dict(self._tell("pull", faults=faults, limit=limit))

    def sync(self, *faults: str, size: int = 500) -> Fields:
        """A whole sync as the app makes it; answers what its screen says then (`phase`, `words`)."""
        return dict(self._tell("sync", faults=faults, size=size))

    def pair_again(self, code: str) -> None:
        done = self._tell("pair", code=code)
        assert done["ok"], done

    def clone(self) -> Hand:
        """A phone restored from a backup of this one."""
        number = self._hands.tell({"do": "phone", "phone": 0, "clone_of": self.number})
        return Hand(self._hands, number, self.paired)

    def see(self) -> Fields:
        return dict(self._tell("see"))

    def view(self, id_: str) -> Fields:
        (found,) = [view for view in self.see()["views"] if view["id"] == id_]
        return dict(found)

    @property
    def shown(self) -> dict[str, Fields]:
        """What is on its screen and not deleted, by id."""
        return {view["id"]: view for view in self.see()["views"] if not view["deleted"]}

    @property
    def outbox(self) -> list[Fields]:
        return list(self.see()["outbox"])


class Hands:
    """The process that holds the phones of a story.

    Parameters
    ----------
    house
        Answers for the server when `server` is `pipe`, and shows what it holds.
    server
        Address of a real server on the house's database, reached through the failing proxy.
    """

    def __init__(self, script: Path, house: House, server: str = "pipe") -> None:
        self.house = house
        self._child = subprocess.Popen(
            ["node", str(script), server], stdin=subprocess.PIPE, stdout=subprocess.PIPE
        )

    def tell(self, command: Fields) -> Any:
        """Give one command and wait for its end; the app is asked meanwhile if the phones call into it."""
        self._say(command)
        assert self._child.stdout is not None
        for line in self._child.stdout:
            said = json.loads(line)
            if "do" in said:
                self._say(self.house.answer(said))
                continue
            assert "told" in said, said["broken"]
            return said["told"]
        raise AssertionError(f"The phones' process ended with {self._child.wait(timeout=120)}.")

    def _say(self, value: Any) -> None:
        assert self._child.stdin is not None
        self._child.stdin.write(json.dumps(value).encode() + b"\n")
        self._child.stdin.flush()

    def meet(self, number: int, bug: str = "none") -> list[Hand]:
        """Begin a new plot with so many phones, which have pulled once."""
        phones = [self.join(one["paired"], one["token"], bug) for one in self.house.do_open(number)]
        for phone in phones:
            assert phone.pull() == {}
        return phones

    def join(self, paired: Fields, token: str, bug: str = "none") -> Hand:
        told = {"do": "phone", "phone": 0, "paired": paired, "token": token, "bug": bug}
        return Hand(self, self.tell(told), paired)

    def later(self, hours: float) -> None:
        """Move all phones' clocks on."""
        self.tell({"do": "later", "phone": 0, "ms": hours * 3_600_000})

    def close(self) -> None:
        assert self._child.stdin is not None and self._child.stdout is not None
        self._child.stdin.close()
        self._child.stdout.close()
        self._child.kill()
        self._child.wait(timeout=120)


def new_id() -> str:
    return str(uuid.uuid4())


def all_alike(house: House, phones: Sequence[Hand]) -> None:
    """Let everybody sync to the end; then all phones show what the server holds, and nothing waits."""
    for _ in range(2):
        for phone in phones:
            end = phone.sync()
            assert end["phase"] == "idle", end
    truth = {record["id"]: record for record in house.do_truth()["records"]}
    kept = {id_: (one["body"], _ids(one)) for id_, one in truth.items() if not one["deleted"]}
    for phone in phones:
        assert phone.outbox == []
        assert {id_: (view["body"], _ids(view)) for id_, view in phone.shown.items()} == kept


def _ids(record: Fields) -> list[str]:
    return sorted(conflict["id"] for conflict in record["conflicts"])


def stored(house: House, field: str) -> set[Any]:
    """Every value of a field that is anywhere on the server: in a record, a conflict or the change log."""
    truth = house.do_truth()
    sets = [one["set"] for one in (*truth["changes"], *truth["conflict_sets"])]
    sets += [record["body"] for record in truth["records"]]
    return {set_[field] for set_ in sets if field in set_}
