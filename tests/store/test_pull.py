"""Pull: pages, cursors, deletions, against real databases."""

from __future__ import annotations

import base64
from datetime import timedelta

import pytest

from tests.store.sender import COUNT, NOW, delete, new_plot, put, statuses
from underboard.core.errors import CursorAhead, CursorExpired, CursorForged, CursorOfOtherPlot, EpochChanged
from underboard.store import pulling, sync_store
from underboard.store.cursor import Cursor, write_cursor
from underboard.store.forgetting import forget_deletions
from underboard.store.restore import begin_new_epochs

pytestmark = pytest.mark.usefixtures("database_app")


def test_every_record_comes_once_and_in_order_whatever_the_page() -> None:
    (phone,) = new_plot("A")
    ops = [put(COUNT) for _ in range(23)]
    phone.push(*ops)
    for limit in (1, 7, 23, 500):
        records, cursor = phone.pull_all(limit=limit)
        assert [record["id"] for record in records] == [op["id"] for op in ops]
        assert phone.pull_all(cursor) == ([], cursor)


def test_a_record_that_changes_between_pages_comes_again_later() -> None:
    (phone,) = new_plot("A")
    ops = [put(COUNT) for _ in range(4)]
    phone.push(*ops)
    first = pulling.pull(phone.plot_id, None, 2)
    phone.push(put({"count": 9}, ops[0]["id"], 1), delete(ops[3]["id"], 1))
    rest, cursor = phone.pull_all(first.cursor, limit=2)
    assert [record["id"] for record in rest] == [ops[2]["id"], ops[0]["id"], ops[3]["id"]]
    assert rest[1]["body"]["count"] == 9
    assert rest[2]["deleted"] and "body" not in rest[2]
    phone.push(put(COUNT))
    assert len(phone.pull_all(cursor)[0]) == 1


def test_a_first_pull_is_spared_old_deletions() -> None:
    (phone,) = new_plot("A")
    dead, live = [put(COUNT) for _ in range(700)], [put(COUNT) for _ in range(3)]
    for part in (dead[:350], dead[350:]):
        phone.push(*part)
    phone.push(*live)
    for part in (dead[:350], dead[350:]):
        phone.push(*[delete(op["id"], 1) for op in part])
    page = pulling.pull(phone.plot_id, None, 500)
    assert [record["id"] for record in page.records] == [op["id"] for op in live]
    assert not page.more
    again = pulling.pull(phone.plot_id, page.cursor, 500)
    assert (again.records, again.more, again.cursor) == ([], False, page.cursor)
    assert len(pulling.pull(phone.plot_id, None, 1000, deletions=True).records) == 703


def test_a_deleted_record_with_an_open_conflict_is_not_spared() -> None:
    a, b = new_plot("A", "B")
    made = put(COUNT)
    a.push(made, delete(made["id"], 1, after=[made["op_id"]]))
    b.push(put({"count": 9}, made["id"], 1))
    (record,) = pulling.pull(a.plot_id, None, 10).records
    assert record["deleted"] and record["conflicts"][0]["set"] == {"count": 9}


def test_cursors_that_are_not_ours_are_turned_away() -> None:
    (phone,), (other,) = new_plot("A"), new_plot("B")
    phone.push(put(COUNT))
    cursor = pulling.pull(phone.plot_id, None, 10).cursor
    with pytest.raises(CursorOfOtherPlot):
        pulling.pull(other.plot_id, cursor, 10)
    plain = base64.urlsafe_b64decode(cursor + "==").decode()
    forged = [
        plain.replace(":1:", ":99:", 1),
        plain.replace(":1:", ":-1:", 1),
        plain.replace("v1", "v2"),
        "",
        plain + ":1",
    ]
    for text in ["§", "AAAA", "x" * 5000, *(base64.urlsafe_b64encode(f.encode()).decode() for f in forged)]:
        with pytest.raises(CursorForged):
            pulling.pull(phone.plot_id, text, 10)


def test_a_cursor_further_than_the_plot_ever_came_begins_a_new_epoch_once() -> None:
    """As after a data folder was copied back whole: phones know of numbers that the database does not."""
    (phone,) = new_plot("A")
    phone.push(put(COUNT), put(COUNT))
    page = pulling.pull(phone.plot_id, None, 10)
    ahead = write_cursor(Cursor(page.epoch, phone.plot_id, 99))
    with pytest.raises(CursorAhead):
        pulling.pull(phone.plot_id, ahead, 10)
    sync_store.begin_anew_if_behind(phone.plot_id, page.cursor)  # not so: nothing is done
    assert sync_store.epoch_of(phone.plot_id) == page.epoch
    with pytest.raises(EpochChanged) as told:
        sync_store.begin_anew_if_behind(phone.plot_id, ahead)
    assert told.value.epoch == sync_store.epoch_of(phone.plot_id) != page.epoch
    with pytest.raises(EpochChanged) as again:  # the next phone that was there finds it done
        sync_store.begin_anew_if_behind(phone.plot_id, ahead)
    assert again.value.epoch == told.value.epoch


def test_a_cursor_of_the_time_before_a_restore_names_the_new_epoch() -> None:
    (phone,) = new_plot("A")
    phone.push(put(COUNT))
    cursor = pulling.pull(phone.plot_id, None, 10).cursor
    begin_new_epochs()
    with pytest.raises(EpochChanged) as told:
        pulling.pull(phone.plot_id, cursor, 10)
    assert told.value.epoch == sync_store.epoch_of(phone.plot_id)


def test_away_for_longer_than_deletions_are_kept() -> None:
    """A device that was away past the horizon starts again, and its edit of what is long gone is a conflict."""
    here, away = new_plot("here", "away")
    dead, edited, live = put(COUNT), put(COUNT), put(COUNT)
    here.push(dead, edited, live)
    _, old_cursor = away.pull_all()
    here.push(delete(dead["id"], 1), delete(edited["id"], 1))
    assert forget_deletions(here.plot_id, NOW) == 0  # not older than now
    assert forget_deletions(here.plot_id, NOW + timedelta(days=401)) == 2
    with pytest.raises(CursorExpired):
        pulling.pull(away.plot_id, old_cursor, 10)
    records, cursor = away.pull_all()
    assert [record["id"] for record in records] == [live["id"]]
    assert away.pull_all(cursor) == ([], cursor)

    (result,) = away.push(put({"count": 9}, edited["id"], 1))
    assert result["status"] == "conflict" and result["record"]["deleted"]
    (kept,) = result["record"]["conflicts"]
    assert (kept["why"], kept["set"]) == ("deleted", {"count": 9})
    assert statuses(away.push(put(COUNT, dead["id"]))) == [
        "conflict"
    ]  # made again under its old id: no way back
    assert statuses(away.push(delete(live["id"], 1), delete(dead["id"], 1))) == ["applied", "conflict"]
    assert statuses(away.push(dead)) == ["duplicate"]  # the ledger is never forgotten


def test_deletions_with_an_open_conflict_are_not_forgotten() -> None:
    a, b = new_plot("A", "B")
    made = put(COUNT)
    a.push(made, delete(made["id"], 1, after=[made["op_id"]]))
    b.push(put({"count": 9}, made["id"], 1))
    assert forget_deletions(a.plot_id, NOW + timedelta(days=401)) == 0
    assert len(a.pull_all()[0]) == 1
