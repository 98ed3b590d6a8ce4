"""2 of the ten nastiest: the answer is lost, another one edits, then comes the duplicate.

A's operation is stored and its answer lost; B edits the same field; A sends again. A hears `duplicate`, B's value
stays, and there is no conflict where nobody disagreed. In Chromium: tests/browser/test_laundered.py.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.faults.hands import Hands, all_alike, stored
from tests.faults.nastiest.test_01_laundered_conflict import Count
from tests.faults.server_bugs import planted


def stored_unheard_and_then_changed_by_another(count: Count) -> None:
    """A's 7 is on the server, A does not know; B sees it and makes it 9."""
    count.set(count.a, wireworms=7)
    count.a.push("answer lost")
    assert len(count.a.outbox) == 1
    count.b.pull()
    assert count.b.view(count.id)["body"]["wireworms"] == 7
    count.b_sets_9()


def ends_with_9_alone(count: Count) -> None:
    all_alike(count.house, [count.a, count.b])
    (record,) = count.house.do_truth()["records"]
    assert (record["body"]["wireworms"], record["conflicts"]) == (9, [])
    kinds = [change["kind"] for change in count.house.do_truth()["changes"]]
    assert kinds == ["put"] * 3, "the repeat must leave no trace"
    assert stored(count.house, "wireworms") == {5, 7, 9}


def sent_again(count: Count) -> None:
    stored_unheard_and_then_changed_by_another(count)
    count.a.push()
    ends_with_9_alone(count)


def sent_again_after_a_pull(count: Count) -> None:
    """A's phone has had B's value before it repeats; its person's screen still shows what he typed."""
    stored_unheard_and_then_changed_by_another(count)
    count.a.pull()
    assert count.a.view(count.id)["body"]["wireworms"] == 7
    count.a.push()
    ends_with_9_alone(count)


def lost_twice_and_doubled_by_the_network(count: Count) -> None:
    stored_unheard_and_then_changed_by_another(count)
    count.a.push("answer lost")
    count.a.push("delivered twice")
    ends_with_9_alone(count)


def overtaken_on_the_way(count: Count) -> None:
    """The first copy arrives only after everything else: the network kept it, the phone gave up on it."""
    count.set(count.a, wireworms=7)
    count.a.push("delivered late")
    count.a.push("answer lost")
    count.b.pull()
    count.b_sets_9()
    count.a.push()
    ends_with_9_alone(count)


def a_clone_sends_the_same(count: Count) -> None:
    """A's phone was copied while its queue was full: both send the same bytes under the same id."""
    count.set(count.a, wireworms=7)
    twin = count.a.clone()
    count.a.push("answer lost")
    count.b.pull()
    count.b_sets_9()
    twin.push()
    count.a.push()
    all_alike(count.house, [count.a, count.b, twin])
    ends_with_9_alone(count)


STORIES = [
    sent_again,
    sent_again_after_a_pull,
    lost_twice_and_doubled_by_the_network,
    overtaken_on_the_way,
    a_clone_sends_the_same,
]


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.__name__)
def test_the_repeat_changes_nothing(story: Callable[[Count], None], home: Hands) -> None:
    story(Count(home))


def test_without_a_ledger_of_operations_it_shows(calling: Hands) -> None:
    with planted("no_idem"), pytest.raises(AssertionError):
        sent_again(Count(calling))
