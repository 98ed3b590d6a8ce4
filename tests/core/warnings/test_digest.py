"""The digest: the same whichever way it was made, and small however long the history is."""

from __future__ import annotations

import json
import random
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.warnings.demo_plot import PLOT, TODAY, demo_records, digest_of_records
from underboard.core.warnings.digest import TooOld, begin, forget, from_json, take, to_json
from underboard.core.warnings.facts_of import facts_of

LATER = date(2027, 8, 1)


def plain(digest: Any) -> str:
    return json.dumps(to_json(digest), sort_keys=True)


def day_of(record: dict[str, Any]) -> str:
    body = record["body"]
    return str(body.get("observed_at") or body.get("set_at") or "")[:10]


@settings(max_examples=4, deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 40))
def test_order_and_repeats_leave_no_trace(seed: int, parts: int) -> None:
    records = list(demo_records())
    chance = random.Random(seed)
    chance.shuffle(records)
    plot = next(one for one in records if one["type"] == "plot")
    digest = begin(PLOT, plot["body"])
    for at in range(0, len(records), len(records) // parts + 1):
        take(digest, records[at : at + len(records) // parts + 1])
        take(digest, chance.sample(records[: at + 1], min(at + 1, 20)))
    assert plain(digest) == plain(digest_of_records(demo_records()))
    assert facts_of(digest) == facts_of(digest_of_records(demo_records()))


@settings(max_examples=4, deadline=None)
@given(st.integers(0, 2**32))
def test_kept_up_day_by_day_equals_made_anew(seed: int) -> None:
    records = [one for one in demo_records() if one["type"] != "plot"]
    plot = next(one for one in demo_records() if one["type"] == "plot")
    chance = random.Random(seed)
    digest = begin(PLOT, plot["body"])
    take(digest, [one for one in records if not day_of(one)])
    dated = sorted((one for one in records if day_of(one)), key=day_of)
    today = date.fromisoformat(day_of(dated[0]))
    while today < LATER:
        until = today + timedelta(days=chance.randint(1, 40))
        batch = [one for one in dated if today.isoformat() <= day_of(one) < until.isoformat()]
        chance.shuffle(batch)
        take(digest, batch)
        forget(digest, until)
        digest = from_json(json.loads(json.dumps(to_json(digest)))) or pytest.fail("unreadable")
        today = until
    anew = digest_of_records(demo_records())
    forget(anew, today)
    assert facts_of(digest) == facts_of(anew)


@pytest.mark.parametrize("days", [0, 180, 251, 500, 2000])
def test_what_is_not_taken_in_is_what_would_be_forgotten(days: int) -> None:
    today = LATER + timedelta(days=days)
    plot = next(one for one in demo_records() if one["type"] == "plot")
    whole, spare = digest_of_records(demo_records()), begin(PLOT, plot["body"])
    take(spare, demo_records(), today)
    held = sum(map(len, spare.entries.values()))
    assert held < sum(map(len, whole.entries.values()))
    for digest in (whole, spare):
        forget(digest, today)
    assert plain(spare) == plain(whole)


def test_old_nights_stay_when_their_readings_go() -> None:
    digest = digest_of_records(demo_records())
    before = facts_of(digest)
    forget(digest, LATER)
    after = facts_of(digest)
    assert len(after.readings) < len(before.readings) / 2
    assert after.nights == before.nights and len(after.nights) > 20
    assert after.pairs == before.pairs and len(after.pairs) == 2


def test_a_change_behind_the_horizon_is_said_not_swallowed() -> None:
    digest = digest_of_records(demo_records())
    forget(digest, LATER)
    old = next(one for one in demo_records() if one["type"] == "temperature")
    with pytest.raises(TooOld):
        take(digest, [old])
    with pytest.raises(TooOld):
        take(digest, [{**old, "deleted": True}])
    moved = next(one for one in demo_records() if one["type"] == "plot")
    with pytest.raises(TooOld):
        take(digest, [{**moved, "body": {**moved["body"], "time_zone": "Europe/Berlin"}}])


def test_a_deleted_record_is_gone() -> None:
    digest = digest_of_records(demo_records())
    some = [one for one in demo_records() if one["type"] == "round"][-5:]
    take(digest, [{**one, "deleted": True} for one in some])
    assert not {one["id"] for one in some} & {one.id for one in facts_of(digest).rounds}
    assert TODAY.isoformat() > max(one.day.isoformat() for one in facts_of(digest).rounds)


def test_double_counts_and_conflicts_keep_both_ends() -> None:
    rounds = facts_of(digest_of_records(demo_records())).rounds
    disputed = [board for one in rounds for board in one.boards.values() if board.disputed]
    assert len(disputed) == 2  # the demo has one double count and one conflict
    assert all(board.low < board.high and board.number is None for board in disputed)
