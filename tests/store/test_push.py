"""Push against real databases."""

from __future__ import annotations

from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import func, select, text

from tests.store.poison import POISON
from tests.store.sender import COUNT, NOW, delete, new_plot, put, statuses
from underboard.core.errors import EpochChanged, UnknownPlot
from underboard.core.sync.envelope import read_push
from underboard.store import db, pulling, sync_store
from underboard.store.log_views import ChangeRow, OpResultRow
from underboard.store.people import new_id
from underboard.store.tables import RecordRow, SyncClock

pytestmark = pytest.mark.usefixtures("database_app")


def rows_of(*tables: type) -> list[int]:
    with db.engine.connect() as connection:
        return [connection.scalar(select(func.count()).select_from(table)) or 0 for table in tables]


def test_a_count_comes_back_as_it_was_sent() -> None:
    (phone,) = new_plot("A")
    sent = put({**COUNT, "note": "snail 🐌 “wet”", "colour": {"deep": [None, 1.5, "\u0000", "\ud83d"]}})
    assert statuses(phone.push(sent)) == ["applied"]
    record = phone.record(sent["id"])
    assert record["body"] == sent["set"]
    assert (record["type"], record["rev"], record["deleted"], record["conflicts"]) == (
        "slug_count",
        1,
        False,
        [],
    )


def test_a_correction_shows_the_record_and_the_kept_value_to_both_phones() -> None:
    a, b = new_plot("Ann's phone", "Bo's phone")
    made = put(COUNT)
    a.push(made)
    assert statuses(a.push(put({"count": 9}, made["id"], 1))) == ["applied"]
    lost = put({"count": 7}, made["id"], 1)
    (result,) = b.push(lost)
    assert (result["status"], result["rev"]) == ("conflict", 3)
    assert result["record"] == a.record(made["id"]) == b.record(made["id"])
    assert result["record"]["body"]["count"] == 9
    assert result["record"]["conflicts"] == [
        {"id": lost["op_id"], "device": "Bo's phone", "why": "overlap", "base_rev": 1, "set": {"count": 7}}
    ]


def test_a_laundered_conflict_stays_a_conflict() -> None:
    """A and B see 5. B sets 9. A, offline, set 7 before it heard of that: the base it names is what A saw."""
    a, b = new_plot("A", "B")
    made = put(COUNT)
    a.push(made)
    b.push(put({"count": 9}, made["id"], 1))
    note = put({"note": "wet"}, made["id"], 1)
    first, second = put({"count": 7}, made["id"], 1, after=[note["op_id"]]), None
    assert statuses(a.push(note)) == ["merged"]
    assert statuses(a.push(first)) == ["conflict"]
    second = put({"count": 6}, made["id"], 1, after=[note["op_id"], first["op_id"]])
    assert statuses(a.push(second)) == ["conflict"]
    record = a.record(made["id"])
    assert record["body"]["count"] == 9 and record["body"]["note"] == "wet"
    assert [kept["set"] for kept in record["conflicts"]] == [{"count": 7}, {"count": 6}]


def test_what_is_known_is_found_among_new_ones_wherever_its_id_stands() -> None:
    (phone,), (stranger,) = new_plot("A"), new_plot("B")
    ops = [put(COUNT) for _ in range(5)]
    theirs = put(COUNT)
    stranger.push(theirs)
    phone.push(ops[2])
    for starts in ("1f", "1", "f", ""):  # the known one between new ones, the highest, the lowest, alone
        new = [put(COUNT, op_id=f"{start}{new_id()[1:]}") for start in starts]
        assert statuses(phone.push(*new, ops[2])) == ["applied"] * len(new) + ["duplicate"]
    reused = put({**COUNT, "count": 9}, op_id=ops[2]["op_id"])
    assert statuses(phone.push(reused, ops[0])) == ["reused", "applied"]
    taken = put(COUNT, theirs["id"])
    assert statuses(phone.push(ops[1], taken, ops[3])) == ["applied", "rejected", "applied"]
    unseen = put({"count": 9}, ops[0]["id"])
    assert statuses(phone.push(put(COUNT), unseen)) == ["applied", "conflict"]


def test_an_answer_that_was_lost_is_given_again_and_changes_nothing() -> None:
    a, b = new_plot("A", "B")
    made = put(COUNT)
    a.push(made)
    mine = put({"count": 6}, made["id"], 1)
    a.push(mine)
    b.push(put({"count": 8}, made["id"], 2))
    before = rows_of(ChangeRow, OpResultRow)
    (again,) = a.push(mine)
    assert (again["status"], again["rev"], again["record"]["body"]["count"]) == ("duplicate", 2, 8)
    assert again["record"]["conflicts"] == []
    assert rows_of(ChangeRow, OpResultRow) == before


def test_settling_closes_what_was_named() -> None:
    a, b = new_plot("A", "B")
    made = put(COUNT)
    a.push(made)
    lost = put({"count": 7}, made["id"], 1)
    a.push(put({"count": 9}, made["id"], 1))
    b.push(lost)
    settled = {
        "kind": "resolve",
        "conflicts": [lost["op_id"]],
        "op_id": "01939b00-0000-7000-8000-0000000000aa",
    }
    assert statuses(b.push(put({"count": 8}, made["id"], 3, **settled))) == ["applied"]
    record = a.record(made["id"])
    assert (record["body"]["count"], record["conflicts"], record["rev"]) == (8, [], 4)


def test_the_rest_of_a_batch_lands_beside_what_is_refused() -> None:
    (phone,) = new_plot("A")
    good, bad, odd = put(COUNT), put({**COUNT, "count": -1}), {**put(COUNT), "kind": "move"}
    results = phone.push(good, bad, odd, put(COUNT))
    assert statuses(results) == ["applied", "rejected", "rejected", "applied"]
    assert results[1]["problem"]["errors"] == [{"pointer": "/set/count", "detail": "0 to 9999"}]
    assert results[2]["problem"]["errors"][0]["pointer"] == "/kind"
    assert rows_of(RecordRow, ChangeRow, OpResultRow) == [2, 2, 2]
    assert statuses(phone.push(bad)) == ["rejected"]


def test_a_record_that_the_database_cannot_take_blocks_no_other() -> None:
    (phone,) = new_plot("A")
    with db.engine.begin() as connection:
        for statement in POISON[connection.dialect.name]:
            connection.exec_driver_sql(statement)
    ops = [put(COUNT) for _ in range(9)]
    ops.insert(3, put({**COUNT, "note": "poison"}))
    refused = put({**COUNT, "count": "many"}, ops[3]["id"])
    results = phone.push(*ops, refused)
    assert statuses(results) == ["applied"] * 3 + ["retry"] + ["applied"] * 6 + ["rejected"]
    assert results[3]["problem"]["status"] == 500
    assert {record["id"] for record in phone.pull_all()[0]} == {op["id"] for op in ops} - {ops[3]["id"]}
    assert statuses(phone.push(*ops[:3])) == ["duplicate"] * 3
    with db.engine.begin() as connection:
        connection.execute(
            text("DROP TRIGGER poison" + (" ON record" if connection.dialect.name != "sqlite" else ""))
        )
    assert statuses(phone.push(ops[3])) == ["applied"]


def test_what_belongs_to_another_plot_is_not_touched() -> None:
    (mine,), (theirs,) = new_plot("A"), new_plot("B")
    made = put(COUNT)
    theirs.push(made)
    edit, gone = put({"count": 9}, made["id"], 1), delete(made["id"], 1)
    results = mine.push(edit, gone, put(COUNT))
    assert statuses(results) == ["rejected", "rejected", "applied"]
    assert results[0]["problem"]["errors"][0]["pointer"] == "/id"
    assert theirs.record(made["id"])["body"] == COUNT
    assert statuses(mine.push({**put(COUNT), "op_id": made["op_id"]})) == ["reused"]


def test_a_push_of_another_epoch_is_turned_away_whole() -> None:
    (phone,) = new_plot("A")
    epoch = sync_store.epoch_of(phone.plot_id)
    with pytest.raises(EpochChanged) as told:
        phone.push(put(COUNT), epoch="another")
    assert told.value.epoch == epoch
    assert rows_of(RecordRow, OpResultRow) == [0, 0]


def test_a_plot_that_is_not_here() -> None:
    raw = {"protocol": 1, "schema": 1, "plot": "nowhere", "ops": []}
    with pytest.raises(UnknownPlot):
        sync_store.push("nowhere", "x", read_push(raw), NOW)
    with pytest.raises(UnknownPlot):
        pulling.pull("nowhere", None, 10)


def test_numbers_are_given_in_the_order_of_commits_and_stay_below_the_counter() -> None:
    (phone,) = new_plot("A")
    made = put(COUNT)
    results = phone.push(made, put(COUNT), put({"note": "x"}, made["id"], 1, after=[made["op_id"]]))
    assert [result["seq"] for result in results] == [1, 2, 3]
    with db.engine.connect() as connection:
        counter = connection.scalar(select(SyncClock.seq).where(SyncClock.plot_id == phone.plot_id))
        assert connection.scalar(select(func.max(RecordRow.seq))) == counter == 3


@pytest.mark.parametrize("wrong", [timedelta(days=730), timedelta(days=-1), timedelta(minutes=-11)])
def test_a_phone_with_a_wrong_clock_is_told_on_and_never_refused(wrong: timedelta) -> None:
    (phone,) = new_plot("A")
    made = put(COUNT)
    assert statuses(phone.push(made, sent_at=NOW + wrong)) == ["applied"]
    assert phone.record(made["id"])["clock_suspect"] is True
    phone.push(put({"note": "still"}, made["id"], 1))
    assert phone.record(made["id"])["clock_suspect"] is True
    phone.push(put({"observed_at": "2026-03-29T06:50:00+01:00"}, made["id"], 2))
    assert not phone.record(made["id"]).get("clock_suspect")


def test_a_clock_that_is_seconds_off_is_right() -> None:
    (phone,) = new_plot("A")
    made = put(COUNT)
    phone.push(made, sent_at=NOW + timedelta(seconds=50))
    assert not phone.record(made["id"]).get("clock_suspect")


def test_a_push_that_breaks_leaves_nothing(database_app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    (phone,) = new_plot("A")

    def break_off(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(sync_store, "show_records", break_off)
    with pytest.raises(KeyboardInterrupt):
        phone.push(put(COUNT))
    assert rows_of(RecordRow, ChangeRow, OpResultRow) == [0, 0, 0]
    assert sync_store.last_seq(phone.plot_id) == 0
