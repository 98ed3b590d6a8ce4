"""The quick way reads what it takes exactly as the long way does, and takes what phones send."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.sync.test_sets import ODD, VALUES, any_set
from underboard.core.errors import EnvelopeFault, SchemaUnsupported
from underboard.core.records import RECORD_TYPES
from underboard.core.records.kinds import is_id
from underboard.core.sync.envelope import MAX_OPS, MAX_SET, PushEnvelope, Unreadable, are_ids
from underboard.core.sync.quick import read_quickly
from underboard.web.problems import Problem
from underboard.web.views.sync import _read_at_length

ID, OTHER = "01939b00-0000-7000-8000-000000000001", "01939b00-0000-7000-8000-000000000002"
COUNT = {"station_id": ID, "state": "counted", "count": 7, "observed_at": "2026-11-25T17:40:00+01:00"}
PUT = {"op_id": ID, "kind": "put", "type": "slug_count", "id": OTHER, "base_rev": 0, "set": COUNT}
EDIT = {
    **PUT,
    "base_rev": 3,
    "base_epoch": "e1",
    "after": [ID, OTHER],
    "set": {"count": 9, "note": "größer ☔"},
}
GONE = {"op_id": ID, "kind": "del", "type": "slug_count", "id": OTHER, "base_rev": 2}
SETTLED = {**EDIT, "kind": "resolve", "conflicts": [ID]}
PHOTO = {**PUT, "set": {**COUNT, "photos": [{"sha256": "ab" * 32, "bytes": 281229}]}}
FRAME = {
    "protocol": 1,
    "schema": 1,
    "plot": ID,
    "epoch": "e1",
    "sent_at": "2026-11-25T17:40:00Z",
    "device": "d",
}


def text_of(*ops: Any, **frame: Any) -> bytes:
    return json.dumps({**FRAME, "ops": list(ops), **frame}, ensure_ascii=False).encode(errors="surrogatepass")


def at_length(raw: bytes) -> PushEnvelope | None:
    try:
        return _read_at_length(raw)
    except (Problem, EnvelopeFault, SchemaUnsupported):
        return None


def told(envelope: PushEnvelope | None) -> Any:
    """All that is in it, with the kinds of values, which `1 == True == 1.0` leaves out."""
    if envelope is None:
        return None
    ops = [
        repr(op)
        if isinstance(op, Unreadable)
        else (repr(op).replace(repr(op.after), ""), op.after, op.digest)
        for op in envelope.ops
    ]
    return envelope.plot_id, envelope.epoch, envelope.sent_at, ops


def same(raw: bytes) -> bool:
    """Say whether it was taken; what is taken is what the long way reads."""
    quick = read_quickly(raw)
    if quick is not None:
        assert told(quick) == told(at_length(raw)), raw
    return quick is not None


@pytest.mark.parametrize("op", [PUT, EDIT, GONE, SETTLED, PHOTO])
def test_what_phones_send_is_taken(op: dict[str, Any]) -> None:
    assert same(text_of(op))
    assert same(text_of(PUT, op, EDIT, epoch=None, sent_at=None))
    assert same(text_of(*[op] * MAX_OPS))


def test_any_record_that_is_right_is_taken() -> None:
    """Every field of every type; a field that is wrong is left to the rules, as in the long way."""
    for name, found in RECORD_TYPES.items():
        for field in found.fields:
            for value in (*ODD, *found.fields[field].choices):
                if "\x00" not in str(value) and "\ud800" not in str(value):
                    assert same(text_of({**EDIT, "type": name, "set": {field: value}})), (name, field, value)


MEMBERS = {
    "op_id": [ID, OTHER, ID.upper(), ID[:-1], f"{ID}\n", "", None, 5, [ID]],
    "kind": ["put", "del", "resolve", "move", "", None, 1],
    "id": [OTHER, ID, OTHER.upper(), f" {OTHER}", OTHER * 2, None, {}],
    "type": [*RECORD_TYPES, "mole_count", "", None, 3, ["note"]],
    "base_rev": [0, 1, 3, 2**53, 2**53 + 1, -1, 1.0, 1e3, True, None, "1"],
    "base_epoch": [None, "e1", "", 5, ["e1"]],
    "after": [None, [], [ID], [ID, ID], [OTHER, ID], ["x"], [None], ID, {}, [ID] * 1001, [[ID]]],
    "conflicts": [None, [], [ID], [ID, ID], ["x"], [5], "", [OTHER] * 1001],
    "set": [None, {}, [], "set", 5, {"count": 4}, {"count": 4.0}, {"note": "x" * (MAX_SET + 1)}, {"": {}}],
    "text": ["{}", 5, None],
    "checked": [True, False, "yes"],
    "unknown": [1, [[[]]]],
}


@st.composite
def any_op(draw: st.DrawFn) -> Any:
    op = dict(draw(st.sampled_from([PUT, EDIT, GONE, SETTLED, PHOTO])))
    if draw(st.booleans()):
        op["type"], op["set"] = draw(any_set())
    for name in draw(st.lists(st.sampled_from(sorted(MEMBERS)), max_size=2)):
        op[name] = draw(st.sampled_from(MEMBERS[name]) | VALUES)
    for name in draw(st.lists(st.sampled_from(sorted(MEMBERS)), max_size=1)):
        op.pop(name, None)
    return draw(st.just(op) | st.just(list(op.items()))) if draw(st.integers(0, 30)) == 0 else op


@settings(max_examples=400, deadline=None)
@given(st.lists(any_op(), max_size=4), st.randoms(use_true_random=False))
def test_whatever_is_taken_is_read_as_the_long_way_reads_it(ops: list[Any], dice: Any) -> None:
    raw = text_of(*ops)
    same(raw)
    # And with a few bytes of it gone or others in their place.
    for _ in range(4):
        at, what = (
            dice.randrange(len(raw)),
            dice.choice([b"", b"0", b'"', b"}", b"[", b"\\", b"-", b"\xed", b"e9", b" "]),
        )
        same(raw[:at] + what + raw[at + dice.randrange(3) :])


ODD_IDS = [
    ID.upper(), ID[:-1], f"{ID}\n", f" {ID[1:]}", ID.replace("-", ""), "", OTHER.replace("0", "g", 1), ID[:-1] + "٣",
    ID[:7] + "-" + ID[7] + ID[9:], ID[:-1] + "-", ID[:-2] + " 1", ID * 2, ID[:-1] + "\u00a0", "-" * 36, "0" * 36,
]  # fmt: skip


@given(
    st.lists(
        st.sampled_from([ID, OTHER, *ODD_IDS]) | st.text("0af-AF \n", min_size=35, max_size=37), max_size=6
    )
)
def test_ids_are_told_all_at_once_as_one_by_one(values: list[str]) -> None:
    assert are_ids(values) == all(map(is_id, values))
    for odd in ODD_IDS:
        assert not are_ids([*values, odd])
        assert not is_id(odd)
    assert are_ids([ID, OTHER] * 700)
    # What one has too little the next may have too much.
    assert not are_ids([ID[:-1], f"{OTHER}0"])


@pytest.mark.parametrize(
    "frame",
    [
        {"protocol": 2}, {"protocol": True}, {"protocol": 1.0}, {"schema": 0}, {"schema": 2}, {"schema": None},
        {"plot": 5},
        {"epoch": 5}, {"sent_at": "yesterday"}, {"sent_at": "2026-11-25T17:40:00"}, {"ops": {}}, {"ops": None},
        {"ops": [PUT] * (MAX_OPS + 1)}, {"extra": 1},
    ],
)  # fmt: skip
def test_a_frame_is_read_alike_or_left(frame: dict[str, Any]) -> None:
    assert same(text_of(PUT, **frame)) is ("sent_at" in frame)
    with_none = {**json.loads(text_of(PUT)), **frame}
    for name in frame:
        with_none.pop(name)
    same(json.dumps(with_none).encode())


def nested(levels: int) -> Any:
    value: Any = 1
    for level in range(levels):
        value = [value] if level % 2 else {"in": value}
    return value


def test_what_is_nested_too_deep_is_left() -> None:
    taken = [same(text_of({**EDIT, "set": {"unknown": nested(levels)}})) for levels in range(20, 40)]
    read = [at_length(text_of({**EDIT, "set": {"unknown": nested(levels)}})) for levels in range(20, 40)]
    assert taken == [one is not None for one in read] and len(set(taken)) == 2
    # Where the decoder still goes on, the writer of JSON may not.
    for levels in range(800, 1100):
        assert not same(
            text_of({**EDIT, "set": {"note": "x"}}).replace(b'"x"', b"[" * levels + b"]" * levels)
        )
        assert not same(
            text_of({**EDIT, "set": {"note": "x"}}).replace(b'"x"', b'{"a":' * levels + b"1" + b"}" * levels)
        )
    assert not same(b"[" * 100_000) and not same(text_of(PUT)[:-2] + b"[" * 100_000)


@pytest.mark.parametrize(
    "odd",
    [
        b'"\\u0000"', b'"\\ud83d"', b'"\\u00e9"', b'"\xed\xa0\x80"', b'"\xff"', b"NaN", b"1e999", b"-0", b"-0.0",
        b"1E5",
        b"0.1", b"5e-324", b"123456789012345678901234567890", b"01", b"1.", b'"a\nb"', b'{"a":1,"a":2}',
    ],
)  # fmt: skip
def test_odd_numbers_and_letters_are_read_alike_or_left(odd: bytes) -> None:
    for name in (b"note", b"count", b"unknown"):
        raw = text_of({**EDIT, "set": {"count": 4}}).replace(b'"count": 4', b'"%s": %s' % (name, odd))
        assert odd in raw
        same(raw)
    same(text_of(PUT).decode().encode("utf-16"))
    same(b"\xef\xbb\xbf" + text_of(PUT))


def test_a_member_that_is_said_twice_counts_as_it_is_said_last() -> None:
    raw = text_of(PUT)
    for member in (b'"base_rev": 5', b'"base_rev": "5"', b'"set": {}', b'"op_id": "x"', b'"kind": "del"'):
        same(raw.replace(b'"op_id"', member + b', "op_id"', 1))
        same(raw.replace(b', "set"', b", " + member + b', "set"', 1))
        same(raw.replace(b"}]", b", " + member + b"}]"))
