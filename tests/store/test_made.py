"""What made a record lies with it until something else happens: nobody who asks can tell, and nothing is lost."""

from __future__ import annotations

import random
from contextlib import nullcontext
from typing import Any

import pytest
from sqlalchemy import func, insert, select, update
from sqlalchemy.exc import DBAPIError

from tests.store.poison import POISON
from tests.store.sender import COUNT, Sender, delete, new_plot, put, statuses
from underboard.core.sync.envelope import read_op
from underboard.core.sync.terms import Op
from underboard.store import db
from underboard.store.applying import set_apart
from underboard.store.database import reading, writing
from underboard.store.gathering import ledger_of
from underboard.store.history import history
from underboard.store.log_views import ChangeRow, OpResultRow
from underboard.store.people import new_id
from underboard.store.sync_store import take_numbers
from underboard.store.tables import ChangeApart, OpResultApart, RecordRow

pytestmark = pytest.mark.usefixtures("database_app")


def rows_apart() -> tuple[int, int]:
    with reading() as connection:
        return tuple(  # type: ignore[return-value]
            connection.scalar(select(func.count()).select_from(table))
            for table in (ChangeApart, OpResultApart)
        )


def whole_log(phone: Sender) -> tuple[list[Any], list[Any]]:
    """Every change and what became of every operation, wherever they lie."""
    with reading() as connection:
        changes = connection.execute(select(ChangeRow).order_by(ChangeRow.record_id, ChangeRow.rev)).all()
        results = connection.execute(select(OpResultRow).order_by(OpResultRow.op_id)).all()
    return [tuple(row) for row in changes], [tuple(row) for row in results]


def all_apart() -> None:
    """Take every record's first entries out, as its first change does."""
    with writing() as connection:
        made = list(connection.scalars(select(RecordRow.id).where(RecordRow.made_op.is_not(None))))
        set_apart(connection, made)
        connection.execute(
            update(RecordRow)
            .where(RecordRow.id.in_(made))
            .values(made_op=None, made_device=None, made_at=None)
        )


def test_a_new_record_is_one_row_and_its_first_change_takes_its_entries_out() -> None:
    (phone,) = new_plot("A")
    made, other = put(COUNT), put({**COUNT, "note": "größer ☔ «42»"})
    phone.push(made, other)
    assert rows_apart() == (0, 0)
    before = whole_log(phone)
    assert [change[:2] for change in before[0]] == sorted([(made["id"], 1), (other["id"], 1)])
    assert statuses(phone.push(put({"count": 9}, made["id"], 1))) == ["applied"]
    assert rows_apart() == (2, 2)
    after = whole_log(phone)
    assert set(before[0]) < set(after[0]) and set(before[1]) < set(after[1])
    entries = history(phone.plot_id, made["id"], None, 10).entries
    assert [(entry.rev, signed.device_id) for entry, signed, _ in entries] == [
        (2, phone.device_id),
        (1, phone.device_id),
    ]


@pytest.mark.parametrize("apart", [False, True])
def test_the_log_and_the_ledger_say_the_same_wherever_their_entries_lie(apart: bool) -> None:
    a, b = new_plot("A", "B")
    (stranger,) = new_plot("C")
    ops = [put({**COUNT, "count": n, "note": f"{n} »ü«"}) for n in range(6)]
    a.push(*ops)
    before = whole_log(a)
    if apart:
        all_apart()
        assert rows_apart() == (6, 6)
    assert whole_log(a) == before
    assert [(again["status"], again["rev"]) for again in b.push(*ops)] == [("duplicate", 1)] * 6
    said_otherwise = [{**op, "set": {**op["set"], "count": 40}} for op in ops[:2]]
    assert statuses(a.push(*said_otherwise)) == ["reused"] * 2
    elsewhere = put(COUNT, op_id=ops[2]["op_id"])
    assert statuses(stranger.push(elsewhere)) == ["reused"]
    # Somebody who has not seen it: what made it counts as what another one did.
    (clash, note) = b.push(put({"count": 9}, ops[3]["id"]), put({"photos": []}, ops[4]["id"]))
    assert (clash["status"], note["status"]) == ("conflict", "merged")
    # Whoever made it has seen it, though he names no revision: a phone's own edit that was sent without an answer.
    assert statuses(a.push(put({"count": 8}, ops[5]["id"], after=[ops[5]["op_id"]]))) == ["applied"]
    assert statuses(a.push(delete(ops[0]["id"], 1))) == ["applied"]
    assert statuses(b.push(*ops)) == ["duplicate"] * 6
    assert set(before[0]) < set(whole_log(a)[0])


def test_the_digest_of_what_lies_with_its_record_is_the_operations_own() -> None:
    (phone,) = new_plot("A")
    ops = [put({**COUNT, "temperature": 4.50, "note": note}) for note in ("", '"\\', "ü", "☔" * 50)]
    phone.push(*ops)
    read = [read_op(op) for op in ops]
    with reading() as connection:
        ledger = ledger_of(connection, phone.plot_id, [op["op_id"] for op in ops])
    assert {op.op_id: op.digest for op in read if isinstance(op, Op)} == {
        op_id: entry.digest for op_id, entry in ledger.items()
    }
    assert len(ledger) == len(ops)


def test_in_one_push_a_record_may_be_made_changed_and_sent_again() -> None:
    (phone,) = new_plot("A")
    ops = [put(COUNT) for _ in range(20)]
    dice = random.Random(5)
    edited, again, removed = (dice.sample(ops, 5) for _ in range(3))
    edits = [put({"note": "wet"}, op["id"], 1, after=[op["op_id"]]) for op in edited]
    seen = [op["op_id"] for op in (*ops, *edits)]
    gone = [delete(op["id"], 1, after=seen) for op in removed]
    batch = [*ops, *edits, *again, *gone]
    results = phone.push(*batch)
    assert statuses(results) == ["applied"] * 25 + ["duplicate"] * 5 + ["applied"] * 5
    numbers = [result["seq"] for result in results if result["status"] == "applied"]
    assert numbers == sorted(set(numbers))
    changes, ledger = whole_log(phone)
    assert len(changes) == len(ledger) == 30
    assert {row[0] for row in ledger} == {op["op_id"] for op in batch}
    touched = {op["id"] for op in (*edited, *removed)}
    assert rows_apart() == (len(touched) + 10,) * 2
    assert statuses(phone.push(*batch)) == ["duplicate"] * 35
    assert whole_log(phone) == (changes, ledger)


@pytest.mark.parametrize("wrong", ["""body = '{}'""", "rev = 2", "made_op = NULL", "made_at = 'never'"])
def test_what_made_a_record_cannot_be_changed_before_it_is_in_the_log(wrong: str) -> None:
    (phone,) = new_plot("A")
    phone.push(put(COUNT))
    with pytest.raises(DBAPIError, match="only appended"), writing() as connection:
        connection.exec_driver_sql(f"UPDATE record SET {wrong}")
    # In both places at once is as wrong.
    with pytest.raises(DBAPIError, match="only appended"), writing() as connection:
        set_apart(connection, list(connection.scalars(select(RecordRow.id))))
        connection.exec_driver_sql("UPDATE record SET rev = 2")
    all_apart()
    with db.engine.connect() as connection:
        assert connection.scalar(select(RecordRow.made_op)) is None


def test_an_operation_makes_one_record_only() -> None:
    (phone,) = new_plot("A")
    phone.push(put(COUNT))
    with reading() as connection:
        row = dict(connection.execute(select(RecordRow)).one()._mapping)
    for op_id, taken in ((new_id(), True), (row["made_op"], False)):
        with (
            nullcontext() if taken else pytest.raises(DBAPIError, match=r"(?i)unique"),
            writing() as connection,
        ):
            _, before = take_numbers(connection, phone.plot_id, 1)
            connection.execute(
                insert(RecordRow), {**row, "id": new_id(), "seq": before + 1, "made_op": op_id}
            )


def test_a_record_by_itself_is_written_once_when_another_row_of_its_push_is_refused() -> None:
    """Deleted before it is made, it has an entry apart and is new; edited in its own push, it is not new any more."""
    (phone,) = new_plot("A")
    ops = [put({**COUNT, "note": f"{n}"}) for n in range(30)]
    early, edit = delete(ops[3]["id"], 0), put({"note": "wet"}, ops[4]["id"], 1, after=[ops[4]["op_id"]])
    batch = [early, *ops, edit, put({**COUNT, "note": "poison"}), ops[5]]
    with db.engine.begin() as connection:
        for statement in POISON[connection.dialect.name]:
            connection.exec_driver_sql(statement)
    expected = ["applied"] * 32 + ["retry", "duplicate"]
    assert statuses(phone.push(*batch)) == expected
    assert statuses(phone.push(*batch)) == ["duplicate"] * 32 + ["retry", "duplicate"]
    changes, ledger = whole_log(phone)
    assert (len(changes), len(ledger)) == (31, 32)
    assert {record["id"] for record in phone.pull_all()[0]} == {op["id"] for op in ops}


def test_an_operation_that_another_plot_used_at_the_same_moment_does_not_block_its_record() -> None:
    """As two transactions of PostgreSQL can leave it: one plot's entry lies with a record, the other's apart."""
    (phone,), (stranger,) = new_plot("A"), new_plot("B")
    made = put(COUNT)
    phone.push(made)
    theirs = {
        "op_id": made["op_id"], "plot_id": stranger.plot_id, "device_id": stranger.device_id, "digest": b"x",
        "status": "applied", "rev": 0,
    }  # fmt: skip
    with writing() as connection:
        connection.execute(insert(OpResultApart), [theirs])
    assert statuses(phone.push(made)) == ["duplicate"]
    assert statuses(phone.push(put({"count": 9}, made["id"], 1))) == ["applied"]
    assert phone.record(made["id"])["body"]["count"] == 9
    assert [row[1] for row in whole_log(phone)[0]] == [1, 2]
