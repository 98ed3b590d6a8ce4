"""One wrong rule of the server at a time, and the story that shows it. Each story is told twice: with the
right rules it ends well, with the planted bug it does not.
"""

from __future__ import annotations

import base64
import json
import uuid
from collections.abc import Callable
from typing import Any

import pytest

from tests.faults.house import House
from tests.faults.server_bugs import SERVER_BUGS, planted

AT = "2026-05-01T05:10:00+01:00"


class Story:
    """Phones of a new plot that push by hand, over the app's own HTTP."""

    def __init__(self, house: House) -> None:
        self.house = house
        self.phones = house.do_open(2)
        self.epoch = house.do_truth()["epoch"]
        self.record = str(uuid.uuid4())

    def push(self, phone: int, **op: Any) -> dict[str, Any]:
        """Push one operation on the story's record; return its result."""
        paired, token = self.phones[phone]["paired"], self.phones[phone]["token"]
        whole = {"op_id": str(uuid.uuid4()), "kind": "put", "id": self.record, "base_epoch": self.epoch} | op
        envelope = {
            "protocol": 1,
            "schema": 1,
            "plot": paired["plot_id"],
            "epoch": self.epoch,
            "device": paired["device_id"],
            "sent_at": AT,
            "ops": [whole],
        }
        answer = self.house.do_ask(
            "/api/v1/sync/push",
            "POST",
            {"Content-Type": "application/json", "Authorization": f"Bearer {token}"},
            base64.b64encode(json.dumps(envelope).encode()).decode(),
        )
        body = json.loads(base64.b64decode(answer["body"]))
        assert answer["status"] == 200, body
        (result,) = body["results"]
        return dict(result)

    def create(self, wireworms: int) -> str:
        """Make the record; return the operation's id."""
        op_id = str(uuid.uuid4())
        trap = {"station_id": str(uuid.uuid4()), "set_at": AT, "observed_at": AT, "state": "counted"}
        result = self.push(0, op_id=op_id, type="trap_catch", base_rev=0, set=trap | {"wireworms": wireworms})
        assert result["status"] == "applied", result
        return op_id

    def values(self) -> list[int]:
        """Every value of the field that is still reachable: in the record, in a conflict, in the log."""
        truth = self.house.do_truth()
        sets = [change["set"] for change in truth["changes"]]
        sets += [conflict["set"] for conflict in truth["conflict_sets"]]
        return sorted({fields["wireworms"] for fields in sets if "wireworms" in fields})

    def now(self) -> int:
        return int(self.house.do_truth()["records"][0]["body"]["wireworms"])


def overlapping_edits(story: Story) -> bool:
    """Two people change what both saw as 5: the first to arrive stays, the other is kept beside it."""
    story.create(5)
    story.push(0, base_rev=1, set={"wireworms": 9})
    late = story.push(1, base_rev=1, set={"wireworms": 7})
    return late["status"] == "conflict" and story.now() == 9 and story.values() == [5, 7, 9]


def edit_of_a_deleted_record(story: Story) -> bool:
    """One deletes, the other edits without having seen it: kept as a conflict, shown to both."""
    story.create(5)
    story.push(0, kind="del", base_rev=1)
    late = story.push(1, base_rev=1, set={"wireworms": 7})
    (record,) = story.house.do_truth()["records"]
    kept = [conflict["set"] for conflict in record["conflicts"]]
    return late["status"] == "conflict" and bool(record["deleted"]) and kept == [{"wireworms": 7}]


def one_id_two_acts(story: Story) -> bool:
    """A cloned phone sends other bytes under an operation id that was used: it must hear so."""
    op_id = story.create(5)
    second = str(uuid.uuid4())
    story.push(0, op_id=second, base_rev=1, after=[op_id], set={"wireworms": 6})
    clone = story.push(0, op_id=second, base_rev=1, after=[op_id], set={"wireworms": 7})
    return bool(clone["status"] == "reused")


def two_hands_one_device(story: Story) -> bool:
    """A phone and its clone, one device id: an edit of the other hand's value is a conflict all the same."""
    op_id = story.create(5)
    story.push(0, base_rev=1, after=[op_id], set={"wireworms": 6})
    clone = story.push(0, base_rev=1, after=[op_id], set={"wireworms": 7})
    return clone["status"] == "conflict" and story.now() == 6


def late_repeat(story: Story) -> bool:
    """The answer was lost, another one edits on top, the first phone repeats: nothing may change."""
    created = story.create(5)
    op_id = str(uuid.uuid4())
    story.push(0, op_id=op_id, base_rev=1, after=[created], set={"wireworms": 6})
    story.push(1, base_rev=2, set={"wireworms": 9})
    repeat = story.push(0, op_id=op_id, base_rev=1, after=[created], set={"wireworms": 6})
    (record,) = story.house.do_truth()["records"]
    return repeat["status"] == "duplicate" and story.now() == 9 and record["conflicts"] == []


STORIES: dict[str, Callable[[Story], bool]] = {
    "lww": overlapping_edits,
    "resurrect": edit_of_a_deleted_record,
    "bring_back": edit_of_a_deleted_record,
    "no_hash": one_id_two_acts,
    "by_device": two_hands_one_device,
    "no_idem": late_repeat,
}


def test_every_server_bug_has_a_story() -> None:
    assert set(STORIES) == set(SERVER_BUGS)


@pytest.mark.parametrize("bug", STORIES)
def test_with_the_right_rules_the_story_ends_well(bug: str, house: House) -> None:
    assert STORIES[bug](Story(house))


@pytest.mark.parametrize("bug", STORIES)
def test_with_the_planted_bug_it_does_not(bug: str, house: House) -> None:
    with planted(bug):
        assert not STORIES[bug](Story(house))
