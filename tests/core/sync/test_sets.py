"""Checked and written in one pass, a set gives what the check and the writer give one after the other."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from underboard.core.records import RECORD_TYPES, check_set
from underboard.core.sync import sets
from underboard.core.sync.sets import write_checked
from underboard.core.sync.terms import write_fields

ID = "01939b00-0000-7000-8000-000000000001"
CHOICES = sorted({c for found in RECORD_TYPES.values() for f in found.fields.values() for c in f.choices})
UNITS = sorted({u for found in RECORD_TYPES.values() for f in found.fields.values() for u in f.units})
# Right for some kind and wrong for others; pairs that a dictionary takes for equal stand side by side.
ODD: list[Any] = [
    1, True, 1.0, "1", 0, False, 0.0, -0.0, -1, 10_000, 10**30, 1e16, 1e-7, 4.5, None, "", "\x00", "\ud800", "é", '"\\',
    "Ann", "x" * 300, ID, ID.upper(), "2026-11-25", "2026-02-30", "2026-11-25T17:40:00+01:00", "ab" * 32,
    "Europe/London", [], [ID], [1, 2.5], [[0, 1], [2, 3]], {}, {"value": 4.5, "unit": "degC"},
    {"z": 1, "a": {"c": None, "b": []}},
    [{"name": "Deroceras", "count": 3}], [{"sha256": "ab" * 32, "bytes": 281229}], ["small", "small"],
]  # fmt: skip
VALUES = (
    st.sampled_from(ODD)
    | st.sampled_from(CHOICES)
    | st.sampled_from(UNITS)
    | st.integers()
    | st.text(max_size=60)
)


@st.composite
def any_set(draw: st.DrawFn) -> tuple[str, dict[str, Any]]:
    name = draw(st.sampled_from(sorted(RECORD_TYPES)))
    fields = st.sampled_from(sorted(RECORD_TYPES[name].fields)) | st.just("unknown")
    return name, draw(st.dictionaries(fields, VALUES, max_size=7))


def both(type_name: str, set_: dict[str, Any], creating: bool) -> tuple[str, bool]:
    return write_fields(set_), not check_set(type_name, set_, creating=creating)


@settings(max_examples=100)
@given(any_set(), st.booleans())
def test_one_pass_says_what_the_two_say(of: tuple[str, dict[str, Any]], creating: bool) -> None:
    name, set_ = of
    expected = both(name, set_, creating)
    for _ in range(2):  # the second time from memory
        assert write_checked(name, set_, creating=creating) == expected


@pytest.mark.parametrize("name", sorted(RECORD_TYPES))
def test_every_field_takes_and_refuses_the_same(name: str) -> None:
    for field in RECORD_TYPES[name].fields:
        for value in (*ODD, *RECORD_TYPES[name].fields[field].choices):
            set_ = {field: value}
            for _ in range(2):
                assert write_checked(name, set_, creating=False) == both(name, set_, False), set_


def test_a_whole_count_is_taken_in_any_order_of_its_names() -> None:
    count = {
        "state": "counted", "round_id": ID, "station_id": ID, "count": 7, "observer": "Ann",
        "observed_at": "2026-11-25T17:40:00+01:00", "photos": [{"sha256": "ab" * 32, "bytes": 281229}],
    }  # fmt: skip
    for set_ in (count, dict(reversed(count.items()))):
        assert write_checked("slug_count", set_, creating=True) == (write_fields(count), True)
    for less in count.keys() - {"state", "photos", "round_id", "observer"}:
        left = {name: value for name, value in count.items() if name != less}
        assert write_checked("slug_count", left, creating=True) == both("slug_count", left, True)


@pytest.mark.parametrize("value", [math.nan, math.inf, [math.nan], {"value": math.inf, "unit": "degC"}])
def test_a_number_that_is_none_is_refused_as_the_writer_does(value: Any) -> None:
    for type_name, name in (
        ("temperature", "current"),
        ("place", "length_m"),
        ("place", "outline"),
        ("note", "new"),
    ):
        with pytest.raises(ValueError, match="Out of range float"):
            write_checked(type_name, {name: value}, creating=False)


def test_what_is_remembered_has_an_end() -> None:
    for n in range(3 * sets.MOST):
        assert write_checked("note", {"text": f"note {n}"}, creating=False) == (
            f'{{"text":"note {n}"}}',
            True,
        )
    for long in ("x" * 49, "y" * 4000):
        write_checked("note", {"note": long}, creating=False)
    texts = [
        text for fields in sets._FIELDS.values() for known, _ in fields.values() for text in known.values()
    ]
    assert len(texts) + len(sets._orders) <= sets.MOST
    assert max(map(len, texts)) < 200
