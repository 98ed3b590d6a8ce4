"""1 of the ten nastiest: the laundered conflict.

A and B see 5. B sets 9 and syncs. A, who is offline, sets 7, then pulls, then pushes. That must end as 9 with A's 7
beside it, never as plain 7: A's person has not seen the 9 that it would replace. In Chromium, with a person's own
taps: tests/browser/test_laundered.py.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.faults.hands import Hand, Hands, all_alike, new_id, stored

AT = "2026-05-01T05:10:00+01:00"


class Count:
    """A trap that both phones saw with 5 wireworms in it; B has found out that there were 9."""

    def __init__(self, hands: Hands, bug: str = "none") -> None:
        self.hands, self.house = hands, hands.house
        self.a, self.b = hands.meet(2, bug)
        self.id = new_id()
        trap = {"station_id": new_id(), "set_at": AT, "observed_at": AT, "state": "counted"}
        self.a.save(self.id, "trap_catch", **trap, wireworms=5)
        self.a.sync()
        self.b.sync()
        assert self.b.view(self.id)["body"]["wireworms"] == 5

    def set(self, phone: Hand, **fields: int | str) -> None:
        phone.save(self.id, "trap_catch", **fields)

    def b_sets_9(self) -> None:
        self.set(self.b, wireworms=9)
        assert self.b.sync()["phase"] == "idle"

    def ends(self, *mine: int) -> None:
        """9 stands, what A typed is kept beside it in the conflicts, and both phones show so."""
        all_alike(self.house, [self.a, self.b])
        (record,) = self.house.do_truth()["records"]
        kept = {one["set"]["wireworms"] for one in record["conflicts"] if "wireworms" in one["set"]}
        assert (record["body"]["wireworms"], kept) == (9, set(mine))
        assert stored(self.house, "wireworms") == {5, 9, *mine}


def pulled_between(count: Count) -> None:
    """The plain form."""
    count.b_sets_9()
    count.set(count.a, wireworms=7)
    count.a.pull()
    count.a.push()
    count.ends(7)


def typed_on_after_the_pull(count: Count) -> None:
    """A corrects an own value that was never sent: the 9 has come to the phone, and was not on its screen."""
    count.b_sets_9()
    count.set(count.a, wireworms=6)
    count.a.pull()
    count.set(count.a, wireworms=7)
    count.a.push()
    count.ends(7)


def own_note_goes_first(count: Count) -> None:
    """A's note of the same record is under way when its count is typed; its answer brings the 9."""
    count.set(count.a, note="under the edge")
    count.a.push("request lost")
    count.b_sets_9()
    count.set(count.a, wireworms=6)
    count.a.push()
    assert count.a.view(count.id)["body"]["wireworms"] == 6
    count.set(count.a, wireworms=7)
    count.a.push()
    count.ends(7)
    assert stored(count.house, "note") == {"under the edge"}


def own_note_was_stored_and_its_answer_lost(count: Count) -> None:
    count.b_sets_9()
    count.set(count.a, note="under the edge")
    count.a.push("answer lost")
    count.set(count.a, wireworms=7)
    count.a.pull()
    count.a.push()
    count.a.push()
    count.ends(7)


def the_answer_that_says_so_is_lost(count: Count) -> None:
    count.b_sets_9()
    count.set(count.a, wireworms=7)
    count.a.push("answer lost")
    count.a.pull()
    count.a.push()
    count.ends(7)


def pulled_before_the_repeat(count: Count) -> None:
    """A's first try never arrived, so that its bytes are fixed while B's value comes in."""
    count.set(count.a, wireworms=7)
    count.a.push("request lost")
    count.b_sets_9()
    count.a.pull()
    count.a.push()
    count.ends(7)


def two_edits_wait(count: Count) -> None:
    count.set(count.a, wireworms=7)
    count.a.push("request lost")
    count.set(count.a, wireworms=8)
    assert len(count.a.outbox) == 2
    count.b_sets_9()
    count.a.pull()
    count.a.push()
    count.a.pull()
    count.a.push()
    count.ends(7, 8)


def a_form_stood_open(count: Count) -> None:
    """A's phone has the 9, and has sent all it had; the form in which A writes 7 was opened before that."""
    form = count.a.view(count.id)
    count.b_sets_9()
    count.a.sync()
    count.a.save(count.id, "trap_catch", form, wireworms=7)
    count.a.push()
    count.ends(7)


STORIES: list[Callable[[Count], None]] = [
    pulled_between,
    typed_on_after_the_pull,
    own_note_goes_first,
    own_note_was_stored_and_its_answer_lost,
    the_answer_that_says_so_is_lost,
    pulled_before_the_repeat,
    two_edits_wait,
    a_form_stood_open,
]


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.__name__)
def test_what_the_other_typed_stands_and_mine_is_kept_beside_it(
    story: Callable[[Count], None], home: Hands
) -> None:
    story(Count(home))


@pytest.mark.parametrize(
    ("bug", "story"),
    [
        ("launder", typed_on_after_the_pull),
        ("ack_base", own_note_goes_first),
        ("blind_form", a_form_stood_open),
    ],
)
def test_with_the_wrong_rule_planted_it_shows(
    bug: str, story: Callable[[Count], None], calling: Hands
) -> None:
    with pytest.raises(AssertionError, match="assert \\(7, set"):
        story(Count(calling, bug))
