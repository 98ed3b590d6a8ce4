"""Pull where there is much of it: one moment for all records, and a plot that is nearly all deletions."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import text

from tests.store.sender import COUNT, NOW, Sender, delete, new_plot, put, statuses
from underboard.core.errors import CursorExpired
from underboard.store import db, pulling
from underboard.store.database import writing
from underboard.store.forgetting import forget_deletions
from underboard.store.sync_store import take_numbers

pytestmark = pytest.mark.usefixtures("database_app")
DELETIONS = {"sqlite": 100_000, "postgresql": 20_000}  # its triggers cost a second for 10,000 rows

# Rows as a real deletion left them, so many times over. The words are the same on both databases.
NUMBERS = (
    "WITH RECURSIVE numbers(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM numbers WHERE i < :n), "
    "made AS (SELECT '01890000-0000-7000-8000-' || CAST(100000000000 + i AS TEXT) AS id, i FROM numbers) "
)
RECORDS = (
    "INSERT INTO record (id, plot_id, type, rev, seq, deleted, body, restored_rev, clock_suspect, open_conflicts) "
    f"{NUMBERS} SELECT made.id, plot_id, type, rev, :first + made.i, deleted, body, restored_rev, clock_suspect, "
    "open_conflicts FROM record, made WHERE record.id = :one"
)
CHANGES = (
    'INSERT INTO change_apart (record_id, rev, op_id, device_id, kind, "set", prev, at) '
    f'{NUMBERS} SELECT made.id, rev, op_id || made.i, device_id, kind, "set", prev, at '
    "FROM change_apart, made WHERE record_id = :one"
)


def many_deletions(phone: Sender) -> int:
    """Make and delete a record as a phone does, then copy what it left; return how many there are."""
    many = DELETIONS[db.engine.dialect.name]
    one = put(COUNT)
    assert statuses(phone.push(one)) == statuses(phone.push(delete(one["id"], 1))) == ["applied"]
    with writing() as connection:
        first = take_numbers(connection, phone.plot_id, many - 1)[1]
        given = {"n": many - 1, "one": one["id"]}
        connection.execute(text(RECORDS), {**given, "first": first})
        connection.execute(text(CHANGES), given)
    return many


def test_records_of_one_moment_come_once_each_over_three_pages() -> None:
    """Whoever goes on from a time misses those of the same moment, or gets them twice."""
    (phone, other) = new_plot("A", "B")
    ops = [put(COUNT) for _ in range(1_200)]
    for at in range(0, len(ops), 400):  # by the same clock, which stands still
        assert set(statuses(phone.push(*ops[at : at + 400], sent_at=NOW))) == {"applied"}
    pages = [pulling.pull(other.plot_id, None, 500)]
    while pages[-1].more:
        pages.append(pulling.pull(other.plot_id, pages[-1].cursor, 500))
    assert [len(page.records) for page in pages] == [500, 500, 200]
    records = [record for page in pages for record in page.records]
    assert {record["body"]["observed_at"] for record in records} == {COUNT["observed_at"]}
    assert [record["id"] for record in records] == [op["id"] for op in ops]
    # Neither does the phone that sent them get them as news of another, nor anybody anything more.
    assert other.pull_all(pages[-1].cursor) == ([], pages[-1].cursor)


def test_very_many_deletions_cost_a_first_pull_nothing_before_or_after_they_are_forgotten() -> None:
    """And who was away past them with an edit in hand finds it neither back nor lost."""
    here, away = new_plot("here", "away")
    edited, live = put(COUNT), [put(COUNT) for _ in range(100)]
    here.push(edited, *live[:50])
    _, old = away.pull_all()
    here.push(delete(edited["id"], 1))
    many = many_deletions(here)
    here.push(*live[50:])
    page = pulling.pull(here.plot_id, None, 500)
    assert [record["id"] for record in page.records] == [op["id"] for op in live]
    assert not page.more and sum(map(len, page.texts)) < 100 * 1_000
    assert here.pull_all(page.cursor) == ([], page.cursor)
    # They were there to be skipped: who asks for deletions has many pages before them.
    assert pulling.pull(here.plot_id, None, 1_000, deletions=True).more

    assert forget_deletions(here.plot_id, NOW + timedelta(days=399)) == 0
    assert forget_deletions(here.plot_id, NOW + timedelta(days=401)) == many + 1
    with pytest.raises(CursorExpired):
        pulling.pull(away.plot_id, old, 500)
    page = pulling.pull(away.plot_id, None, 500)
    assert ([record["id"] for record in page.records], page.more) == ([op["id"] for op in live], False)

    (result,) = away.push(put({"count": 9}, edited["id"], 1))
    assert (result["status"], result["record"]["deleted"]) == ("conflict", True)
    (kept,) = result["record"]["conflicts"]
    assert (kept["why"], kept["set"]) == ("deleted", {"count": 9})
    # Both hear of it alike: whoever was there all the time, and whoever begins anew.
    for cursor in (None, page.cursor):
        (told,) = [record for record in here.pull_all(cursor)[0] if record["id"] == edited["id"]]
        assert (told["deleted"], told["conflicts"]) == (True, [kept])
