"""What was done to a record: told to whoever may read the plot, page by page, on both databases."""

from __future__ import annotations

import random
import uuid
from datetime import timedelta
from typing import Any

import pytest
from flask import Flask
from jsonschema import Draft202012Validator

from tests.web.conftest import Caller, Join, note
from underboard.store.forgetting import forget_deletions
from underboard.web.services import utc_now

COUNT = {
    "station_id": str(uuid.uuid4()),
    "state": "counted",
    "count": 4,
    "observed_at": "2026-05-03T05:20:00+01:00",
}


def count(**changes: Any) -> dict[str, Any]:
    return note() | {"type": "slug_count", "set": {**COUNT, **changes}}


def edit(record_id: str, base_rev: int, **set_: Any) -> dict[str, Any]:
    return {"op_id": str(uuid.uuid4()), "kind": "put", "id": record_id, "base_rev": base_rev, "set": set_}


def act(kind: str, record_id: str, base_rev: int, **more: Any) -> dict[str, Any]:
    return {"op_id": str(uuid.uuid4()), "kind": kind, "id": record_id, "base_rev": base_rev, **more}


def past(caller: Caller, record_id: str, query: str = "") -> dict[str, Any]:
    answer = caller.get(f"/api/v1/plots/{caller.plot_id}/records/{record_id}/history{query}")
    assert answer.status_code == 200, answer.get_json()
    return dict(answer.get_json())


def lines(found: dict[str, Any]) -> list[tuple[str, dict[str, tuple[Any, Any]]]]:
    """Each change as (what, field → (from, to)), oldest first."""
    return [
        (one["what"], {field["name"]: (field["from"], field["to"]) for field in one["fields"]})
        for one in reversed(found["changes"])
    ]


def test_every_edit_is_told_with_who_when_and_from_what_to_what(app: Flask, join: Join) -> None:
    ada = join()
    bo = join(ada.plot_id, "helper")
    reader = join(ada.plot_id, "reader")
    before = utc_now()
    made = count()
    ada.push(made)
    bo.push(edit(made["id"], 1, count=7, note="two under the rim"))
    found = past(reader, made["id"])
    assert (found["type"], found["rev"], found["deleted"], found["next_before"]) == (
        "slug_count",
        2,
        False,
        None,
    )
    assert lines(found) == [
        ("made", {name: (None, value) for name, value in COUNT.items()}),
        ("changed", {"count": (4, 7), "note": (None, "two under the rim")}),
    ]
    assert [one["device"] for one in found["changes"]] == ["helper phone", "owner phone"]
    assert [one["device_id"] for one in found["changes"]] == [bo.device_id, ada.device_id]
    assert all(before.isoformat() <= one["received_at"] <= utc_now().isoformat() for one in found["changes"])
    document = app.test_client().get("/api/v1/openapi.json").get_json()
    schema = {"$ref": "#/components/schemas/History", "components": document["components"]}
    Draft202012Validator(schema).validate(found)


@pytest.mark.parametrize(
    ("chosen", "outcome", "stands"),
    [({}, "left", 7), ({"count": 9}, "taken", 9), ({"count": 8}, "other", 8), ({"count": 7}, "left", 7)],
)
def test_a_kept_conflict_says_what_stood_what_was_meant_and_how_it_ended(
    join: Join, chosen: dict[str, int], outcome: str, stands: int
) -> None:
    ada = join()
    bo = join(ada.plot_id)
    made = count()
    ada.push(made)
    ada.push(edit(made["id"], 1, count=7))
    late = edit(made["id"], 1, count=9)
    assert [result["status"] for result in bo.push(late)] == ["conflict"]
    (kept,) = [one for one in past(ada, made["id"])["changes"] if one["what"] == "kept"]
    assert kept["fields"] == [{"name": "count", "from": 7, "to": 9}]
    assert (kept["why"], kept["outcome"], kept["settled"]) == ("overlap", "open", None)
    ada.push(act("resolve", made["id"], 3, set=chosen, conflicts=[late["op_id"]]))
    changes = past(bo, made["id"])["changes"]
    settled, kept = changes[0], changes[1]
    assert (settled["what"], settled["settles"]) == ("settled", [late["op_id"]])
    assert kept["outcome"] == outcome
    assert kept["settled"]["device_id"] == ada.device_id
    assert kept["device_id"] == bo.device_id
    (record,) = [record for record in ada.pull() if record["id"] == made["id"]]
    assert record["body"]["count"] == stands
    # Page by page the same is told, though what settled a conflict stands on another page.
    paged = []
    query = "?limit=1"
    while True:
        page = past(ada, made["id"], query)
        paged += page["changes"]
        if page["next_before"] is None:
            break
        query = f"?limit=1&before={page['next_before']}"
    assert paged == changes


def test_a_deletion_that_met_an_edit_is_told_and_the_record_stays(join: Join) -> None:
    ada = join()
    bo = join(ada.plot_id)
    made = count()
    ada.push(made)
    ada.push(edit(made["id"], 1, count=7))
    gone = act("del", made["id"], 1)
    bo.push(gone)
    ada.push(act("resolve", made["id"], 3, conflicts=[gone["op_id"]]))
    kept = past(ada, made["id"])["changes"][1]
    assert (kept["what"], kept["why"], kept["outcome"]) == ("kept", "delete-vs-edit", "left")


def test_what_was_removed_can_be_put_back_by_anybody_and_is_then_listed_no_more(join: Join) -> None:
    ada = join()
    bo = join(ada.plot_id, "reader")
    words, count_ = note("first leaves eaten"), count()
    ada.push(words, count_)
    ada.push(act("del", words["id"], 1))
    ada.push(act("del", count_["id"], 1))
    path = f"/api/v1/plots/{ada.plot_id}/records/removed"
    found = bo.get(path).get_json()
    assert [(one["id"], one["type"], one["body"]) for one in found["records"]] == [
        (count_["id"], "slug_count", COUNT),
        (words["id"], "note", words["set"]),
    ]
    assert found["records"][0]["device"] == "owner phone"
    first = bo.get(path + "?limit=1").get_json()
    rest = bo.get(f"{path}?limit=1&before={first['next_before']}").get_json()
    assert first["records"] + rest["records"] == found["records"]
    assert rest["next_before"] is None
    history = past(bo, words["id"])
    assert history["deleted"]
    assert lines(history)[-1] == ("removed", {name: (value, None) for name, value in words["set"].items()})
    # RFC 9562, 5.5, by the standard library: SHA-1 of the removed record's id and the word.
    back = str(uuid.uuid5(uuid.UUID(words["id"]), "returned"))
    assert found["records"][1]["returned_id"] == back
    again = {
        **words,
        "op_id": str(uuid.uuid4()),
        "id": back,
        "set": {**words["set"], "returned_from": words["id"]},
    }
    assert [result["status"] for result in ada.push(again)] == ["applied"]
    assert [one["id"] for one in bo.get(path).get_json()["records"]] == [count_["id"]]
    # Removed once more, it is listed under its second id.
    ada.push(act("del", back, 1))
    assert [one["id"] for one in bo.get(path).get_json()["records"]] == [back, count_["id"]]


def test_the_past_of_a_forgotten_deletion_is_still_told(app: Flask, join: Join) -> None:
    ada, stranger = join(), join()
    words = note()
    ada.push(words)
    ada.push(act("del", words["id"], 1))
    with app.app_context():
        assert forget_deletions(ada.plot_id, utc_now() + timedelta(days=1), timedelta(0)) == 1
    found = past(ada, words["id"])
    assert (found["type"], found["deleted"]) == (None, True)
    assert [what for what, _ in lines(found)] == ["made", "removed"]
    path = f"/api/v1/plots/{stranger.plot_id}/records/{words['id']}/history"
    assert stranger.get(path).status_code == 404


def test_strangers_and_odd_addresses_get_problems(join: Join) -> None:
    ada, stranger = join(), join()
    made = count()
    ada.push(made)
    plots = f"/api/v1/plots/{ada.plot_id}/records"
    asked = {
        f"{plots}/{made['id']}/history": stranger,
        f"{plots}/removed": stranger,
        f"{plots}/{uuid.uuid4()}/history": ada,
        f"{plots}/%00/history": ada,
        f"{plots}/{made['id'].upper()}/history": ada,
    }
    for path, caller in asked.items():
        answer = caller.get(path)
        assert (answer.status_code, answer.mimetype) == (404, "application/problem+json"), path
    for query in ("limit=0", "limit=201", "before=0", "before=x"):
        answer = ada.get(f"{plots}/{made['id']}/history?{query}")
        assert answer.status_code == 422
        assert answer.get_json()["errors"][0]["pointer"].startswith("?/")
    unpaired = stranger.client.get(f"{plots}/removed")
    assert unpaired.status_code == 401


def test_the_told_changes_replayed_give_the_record_as_it_stands(join: Join) -> None:
    """A plain reckoning: what was written, one after the other, is the body; kept changes add nothing."""
    ada = join()
    phones = [ada, join(ada.plot_id)]
    dice = random.Random(6)
    made = count()
    ada.push(made)
    rev = 1
    for turn in range(30):
        field = dice.choice(["count", "small", "large"])
        base = max(1, rev - dice.randrange(3))
        (result,) = phones[turn % 2].push(edit(made["id"], base, **{field: dice.randrange(9)}))
        rev = result["rev"]
    (record,) = [record for record in ada.pull() if record["id"] == made["id"]]
    body: dict[str, Any] = {}
    kept = 0
    for what, fields in lines(past(ada, made["id"], "?limit=200")):
        assert all(body.get(name) == before for name, (before, _) in fields.items())
        kept += what == "kept"
        if what != "kept":
            body |= {name: after for name, (_, after) in fields.items()}
    assert body == record["body"]
    assert kept == len(record["conflicts"]) > 3
