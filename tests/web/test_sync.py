"""Push and pull over HTTP: what is refused, how, and that the rest of a batch lands all the same."""

from __future__ import annotations

import gzip
import json
import uuid

import pytest
from flask import Flask

from tests.web.conftest import Join, Office, note
from underboard.store.cursor import Cursor, write_cursor
from underboard.web.services import utc_now

PUSH = "/api/v1/sync/push"


def test_a_bad_record_is_refused_with_its_pointer_and_the_others_land(join: Join) -> None:
    phone = join()
    count = {"round_id": str(uuid.uuid4()), "station_id": str(uuid.uuid4()), "state": "counted",
             "observed_at": "2026-05-03T05:20:00+01:00"}  # fmt: skip
    bad = note() | {"type": "slug_count", "set": {**count, "count": -3}}
    results = phone.push(note("first"), bad, note("last"))
    assert [result["status"] for result in results] == ["applied", "rejected", "applied"]
    problem = results[1]["problem"]
    assert problem["status"] == 422
    assert problem["errors"][0]["pointer"] == "/set/count"
    assert "9999" in problem["errors"][0]["detail"]
    assert sorted(record["body"]["text"] for record in phone.pull()) == ["first", "last"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"op_id": 7}, "/op_id"),
        ({"kind": "merge"}, "/kind"),
        ({"id": "no-uuid"}, "/id"),
        ({"base_rev": "0"}, "/base_rev"),
        ({"type": "slug_trap"}, "/type"),
        ({"set": [1]}, "/set"),
        ({"after": "x"}, "/after"),
        ({"set": {"text": 5, "observed_at": "2026-05-03T05:20:00+01:00"}}, "/set/text"),
        ({"set": {"text": "a", "observed_at": "yesterday"}}, "/set/observed_at"),
        ({"set": {"text": "\ud800", "observed_at": "2026-05-03T05:20:00+01:00"}}, "/set"),
    ],
)
def test_a_wrong_operation_names_what_is_wrong(join: Join, change: dict[str, object], pointer: str) -> None:
    phone = join()
    results = phone.push(note() | change, note("lands"))
    assert [result["status"] for result in results] == ["rejected", "applied"]
    assert results[0]["problem"]["errors"][0]["pointer"] == pointer


def test_a_repeat_is_a_duplicate_and_the_same_id_with_other_words_is_reused(join: Join) -> None:
    phone = join()
    op = note("once")
    assert phone.push(op)[0]["status"] == "applied"
    again = phone.push(op)[0]
    assert (again["status"], again["record"]["body"]["text"]) == ("duplicate", "once")
    assert phone.push({**op, "set": {**op["set"], "text": "other"}})[0]["status"] == "reused"
    assert [record["body"]["text"] for record in phone.pull()] == ["once"]


def test_two_edits_of_one_field_are_both_kept_and_can_be_settled(join: Join) -> None:
    first = join()
    second = join(first.plot_id, "helper")
    made = note("5")
    first.push(made)
    edit = {"kind": "put", "id": made["id"], "base_rev": 1}
    assert first.push({**edit, "op_id": str(uuid.uuid4()), "set": {"text": "9"}})[0]["status"] == "applied"
    late = {**edit, "op_id": str(uuid.uuid4()), "set": {"text": "7"}}
    result = second.push(late)[0]
    assert result["status"] == "conflict"
    for phone in (first, second):
        record = phone.pull()[0]
        assert record["body"]["text"] == "9"
        assert [(c["id"], c["why"], c["set"], c["device"]) for c in record["conflicts"]] == [
            (late["op_id"], "overlap", {"text": "7"}, "helper phone")
        ]
    settle = {"op_id": str(uuid.uuid4()), "kind": "resolve", "id": made["id"], "base_rev": result["rev"],
              "conflicts": [late["op_id"]], "set": {"text": "8"}}  # fmt: skip
    assert second.push(settle)[0]["status"] == "applied"
    record = first.pull()[0]
    assert (record["body"]["text"], record["conflicts"]) == ("8", [])


def test_edits_of_different_fields_merge(join: Join) -> None:
    first = join()
    second = join(first.plot_id, "helper")
    made = note("wet")
    first.push(made)
    edit = {"kind": "put", "id": made["id"], "base_rev": 1}
    first.push({**edit, "op_id": str(uuid.uuid4()), "set": {"text": "dry"}})
    merged = second.push({**edit, "op_id": str(uuid.uuid4()), "set": {"note": "by the hedge"}})[0]
    assert merged["status"] == "merged"
    assert (merged["record"]["body"]["text"], merged["record"]["body"]["note"]) == ("dry", "by the hedge")


def test_envelopes_are_judged_as_a_whole(join: Join) -> None:
    phone = join()
    other = join()
    expected = {
        "not an object": ([], 400),
        "protocol": (phone.envelope(protocol=2), 400),
        "schema": (phone.envelope(schema=99), 409),
        "epoch": (phone.envelope(epoch=str(uuid.uuid4())), 409),
        "ops": (phone.envelope(ops="none"), 400),
        "too many": (phone.envelope(*[note() for _ in range(501)]), 413),
        "other plot": (phone.envelope(plot=other.plot_id), 404),
    }
    for name, (body, status) in expected.items():
        answer = phone.post(PUSH, body)
        assert (name, answer.status_code) == (name, status)
        assert answer.mimetype == "application/problem+json"
    assert phone.post(PUSH, expected["epoch"][0]).get_json()["epoch"] == phone.epoch
    told = phone.post(PUSH, expected["schema"][0]).get_json()
    assert (told["type"], told["min"], told["max"]) == ("/problems/schema", 1, 1)
    assert phone.pull() == []


def test_bodies_are_bounded_before_they_are_read(join: Join) -> None:
    phone = join()
    send = phone.client.post
    packed = {**phone.headers, "Content-Encoding": "gzip", "Content-Type": "application/json"}
    plain = {**phone.headers, "Content-Type": "application/json"}
    bomb = gzip.compress(b" " * 50_000_000)
    assert len(bomb) < 256 * 1024
    deep = b"[" * 100_000 + b"]" * 100_000
    body = gzip.compress(json.dumps(phone.envelope(note("packed"))).encode())
    assert send(PUSH, data=bomb, headers=packed).status_code == 413
    assert send(PUSH, data=b"x" * 300_000, headers=plain).status_code == 413
    assert send(PUSH, data=deep, headers=plain).status_code == 400
    assert send(PUSH, data=body[:-9], headers=packed).status_code == 400
    assert send(PUSH, data=b'{"a": NaN}', headers=plain).status_code == 400
    assert send(PUSH, data=b"{}", headers={**phone.headers, "Content-Type": "text/plain"}).status_code == 415
    assert send(PUSH, data=b"{}", headers={**plain, "Content-Encoding": "br"}).status_code == 415
    assert send(PUSH, data=body, headers=packed).status_code == 200
    assert [record["body"]["text"] for record in phone.pull()] == ["packed"]


def test_records_of_another_plot_are_not_here(join: Join) -> None:
    phone, stranger = join(), join()
    secret = note("secret")
    stranger.push(secret)
    answer = phone.push({**note(), "id": secret["id"], "base_rev": 1, "set": {"text": "mine"}}, note("own"))
    assert [result["status"] for result in answer] == ["rejected", "applied"]
    assert "secret" not in json.dumps(answer)
    assert stranger.pull()[0]["body"]["text"] == "secret"
    assert phone.get(f"/api/v1/sync/pull?plot={stranger.plot_id}").status_code == 404
    cursor = stranger.get(f"/api/v1/sync/pull?plot={stranger.plot_id}").get_json()["cursor"]
    assert phone.get(f"/api/v1/sync/pull?plot={phone.plot_id}&cursor={cursor}").status_code == 404


@pytest.mark.parametrize("cursor", ["x", "v1:a:b:1", "djE6YTpiOjE", "A" * 500, "////", "=", "%00"])
def test_a_forged_cursor_is_refused(join: Join, cursor: str) -> None:
    phone = join()
    assert phone.get(f"/api/v1/sync/pull?plot={phone.plot_id}&cursor={cursor}").status_code in (400, 404, 422)


def test_a_cursor_ahead_of_the_plot_is_believed_of_those_who_write(join: Join) -> None:
    """An older data folder may lie here. A guest alone must not be able to make all phones begin anew."""
    phone = join()
    guest = join(phone.plot_id, "reader")
    ahead = write_cursor(Cursor(phone.epoch, phone.plot_id, 1_000))
    path = f"/api/v1/sync/pull?plot={phone.plot_id}&cursor={ahead}"
    assert guest.get(path).status_code == 400 and guest.epoch == phone.epoch
    told = phone.get(path)
    assert (told.status_code, told.get_json()["type"]) == (409, "/problems/epoch")
    assert guest.get(path).get_json()["epoch"] == told.get_json()["epoch"]


def test_a_pull_that_brings_nothing_new_is_a_304(join: Join) -> None:
    phone = join()
    phone.push(note())
    path = f"/api/v1/sync/pull?plot={phone.plot_id}"
    first = phone.get(path)
    tag = first.headers["ETag"]
    assert phone.get(path, headers={"If-None-Match": tag}).status_code == 304
    phone.push(note("more"))
    assert phone.get(path, headers={"If-None-Match": tag}).status_code == 200


def test_pages_follow_each_other_without_gap_or_repeat(join: Join) -> None:
    phone = join()
    made = [note(str(n)) for n in range(7)]
    phone.push(*made)
    path = f"/api/v1/sync/pull?plot={phone.plot_id}&limit=3"
    seen, cursor, more = [], "", True
    while more:
        page = phone.get(path + cursor).get_json()
        seen += [record["body"]["text"] for record in page["records"]]
        cursor, more = f"&cursor={page['cursor']}", page["more"]
    assert seen == [str(n) for n in range(7)]


def test_a_removed_device_is_told_to_pair_again(join: Join, app: Flask, office: Office) -> None:
    phone = join()
    body = phone.envelope(note("kept"))
    office.revoke(phone.plot_id, phone.device_id, utc_now(), "owner")
    answer = phone.post(PUSH, body)
    assert (answer.status_code, answer.get_json()["type"]) == (401, "/problems/pair-again")
    assert join(phone.plot_id).pull() == []


def test_a_reader_reads_and_does_not_write(join: Join) -> None:
    owner = join()
    owner.push(note("seen"))
    reader = join(owner.plot_id, "reader")
    assert [record["body"]["text"] for record in reader.pull()] == ["seen"]
    assert reader.post(PUSH, reader.envelope(note())).status_code == 403


def test_a_clock_that_is_far_off_is_marked_and_nothing_is_refused(join: Join) -> None:
    phone = join()
    body = phone.envelope(note("late"), sent_at="2028-01-01T00:00:00Z")
    assert phone.post(PUSH, body).get_json()["results"][0]["status"] == "applied"
    assert phone.pull()[0]["clock_suspect"] is True
