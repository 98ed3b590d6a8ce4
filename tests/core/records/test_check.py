"""The one check of a set of fields: what is refused, where the pointer points, what is kept."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from underboard.core.records import RECORD_TYPES, Quantity, SlugCount, check_set, read_record
from underboard.core.records.check import is_instant, read_instant

ID = "01939b00-0000-7000-8000-000000000001"
COUNT: dict[str, Any] = {
    "round_id": ID,
    "station_id": ID,
    "state": "counted",
    "count": 7,
    "egg_clusters": 0,
    "observed_at": "2026-11-25T17:40:00+01:00",
    "observer": "Ann",
    "photos": [{"sha256": "ab" * 32, "bytes": 281229}],
}


def pointers(type_name: str, set_: dict[str, Any], *, creating: bool = False) -> list[str]:
    return [fault.pointer for fault in check_set(type_name, set_, creating=creating)]


def test_a_count_of_a_morning_is_fine() -> None:
    assert check_set("slug_count", COUNT, creating=True) == []


def test_every_type_of_the_design_is_there() -> None:
    assert set(RECORD_TYPES) == {
        "plot", "place", "station", "round", "slug_count", "trap_catch", "soil_sample", "temperature",
        "evening", "damage", "crop", "crop_event", "treatment", "culture", "trial", "photo", "watch",
        "warning", "warning_reply", "member", "note", "learned",
    }  # fmt: skip
    assert [name for name, found in RECORD_TYPES.items() if found.server_written] == ["warning", "learned"]


def test_a_new_record_needs_its_required_fields_and_an_edit_does_not() -> None:
    assert pointers("slug_count", {"note": "wet"}, creating=True) == [
        "/set/station_id", "/set/state", "/set/observed_at",
    ]  # fmt: skip
    assert pointers("slug_count", {"note": "wet"}) == []


def test_the_detail_says_what_would_be_right() -> None:
    (fault,) = check_set("slug_count", {"count": 10_000}, creating=False)
    assert (fault.pointer, fault.detail) == ("/set/count", "0 to 9999")


@pytest.mark.parametrize(
    ("set_", "pointer"),
    [
        ({"count": -1}, "/set/count"),
        ({"count": "7"}, "/set/count"),
        ({"count": 7.0}, "/set/count"),
        ({"count": True}, "/set/count"),
        ({"count": 10**400}, "/set/count"),
        ({"state": "none"}, "/set/state"),
        ({"state": ["counted"]}, "/set/state"),
        ({"state": None}, "/set/state"),
        ({"observed_at": "2026-11-25T17:40:00"}, "/set/observed_at"),
        ({"observed_at": "2026-02-30T17:40:00Z"}, "/set/observed_at"),
        ({"observed_at": "25.11.2026 17:40"}, "/set/observed_at"),
        ({"station_id": ID.upper()}, "/set/station_id"),
        ({"station_id": "B07"}, "/set/station_id"),
        ({"photos": [{"sha256": "ab" * 32}, {"sha256": "xy"}]}, "/set/photos/1/sha256"),
        ({"photos": [{"sha256": "ab" * 32, "bytes": -1}]}, "/set/photos/0/bytes"),
        ({"photos": {}}, "/set/photos"),
        ({"taxa": [{"name": "Deroceras", "count": -2}]}, "/set/taxa/0/count"),
        ({"taxa": [{"count": 2}]}, "/set/taxa/0/name"),
        ({"removed": 1}, "/set/removed"),
        ({"note": "x" * 4001}, "/set/note"),
        ({"note": "a\x00b"}, "/set/note"),
        ({"note": "\ud83d"}, "/set/note"),
        ({"note": 5}, "/set/note"),
    ],
)
def test_what_cannot_be_a_count_is_refused_where_it_stands(set_: dict[str, Any], pointer: str) -> None:
    assert pointers("slug_count", set_) == [pointer]


@pytest.mark.parametrize(
    ("type_name", "set_", "pointer"),
    [
        ("temperature", {"current": 4.5}, "/set/current"),
        ("temperature", {"current": {"value": "4", "unit": "degC"}}, "/set/current/value"),
        ("temperature", {"current": {"value": float("nan"), "unit": "degC"}}, "/set/current/value"),
        ("temperature", {"current": {"value": 4, "unit": "kelvins"}}, "/set/current/unit"),
        ("temperature", {"current": {"value": 4}}, "/set/current/unit"),
        ("evening", {"humidity_percent": 101}, "/set/humidity_percent"),
        ("evening", {"sky": "cloudy"}, "/set/sky"),
        ("plot", {"time_zone": "Europe/Nowhere"}, "/set/time_zone"),
        ("plot", {"latitude": 91}, "/set/latitude"),
        ("plot", {"units": []}, "/set/units"),
        ("place", {"outline": [[0, 0], [1]]}, "/set/outline/1"),
        ("place", {"outline": [[0, 0], [1, "2"]]}, "/set/outline/1/1"),
        ("place", {"neighbours": ["hedge", "hedge"]}, "/set/neighbours"),
        ("place", {"label": ""}, "/set/label"),
        ("station", {"set_on": "2026-13-01"}, "/set/set_on"),
        ("treatment", {"place_ids": [ID, "bed"]}, "/set/place_ids/1"),
        ("culture", {"aliquot_counts": [1, None]}, "/set/aliquot_counts/1"),
        ("photo", {"sha256": "AB" * 32}, "/set/sha256"),
    ],
)
def test_other_kinds_of_fields(type_name: str, set_: dict[str, Any], pointer: str) -> None:
    assert pointers(type_name, set_) == [pointer]


def test_an_unlikely_temperature_is_kept() -> None:
    assert pointers("temperature", {"min": {"value": -63, "unit": "degC"}}) == []


def test_a_field_may_be_cleared_unless_it_is_required() -> None:
    assert pointers("slug_count", {"note": None, "count": None, "photos": None}) == []
    assert pointers("slug_count", {"station_id": None}) == ["/set/station_id"]


def test_counted_without_a_number_is_not_a_count() -> None:
    bare = {key: value for key, value in COUNT.items() if key != "count"}
    assert pointers("slug_count", bare, creating=True) == ["/set/count"]
    assert pointers("slug_count", {**bare, "state": "none_found"}, creating=True) == []
    assert pointers("slug_count", {**COUNT, "state": "none_found"}, creating=True) == ["/set/state"]


def test_an_unknown_type_is_itself_the_fault() -> None:
    assert pointers("weather", {"count": "many"}) == ["/type"]


def test_fields_of_a_later_version_are_kept() -> None:
    set_ = {**COUNT, "colour": {"deep": ["brown", None, 1.5]}}
    assert check_set("slug_count", set_, creating=True) == []
    record = read_record("slug_count", set_)
    assert isinstance(record, SlugCount)
    assert record.extra == {"colour": {"deep": ["brown", None, 1.5]}}
    assert (record.count, record.photos) == (7, ({"sha256": "ab" * 32, "bytes": 281229},))


def test_quantities_stay_as_entered() -> None:
    record = read_record("temperature", {"current": {"value": 41, "unit": "degF"}, "max": None})
    assert record.current == Quantity(41.0, "degF")  # type: ignore[attr-defined]
    assert record.max is None  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    "text",
    # RFC 3339 section 5.8, its examples without the leap seconds
    ["1985-04-12T23:20:50.52Z", "1996-12-19T16:39:57-08:00", "1937-01-01T12:00:27.87+00:20"],
)
def test_instants_of_the_standard_are_read(text: str) -> None:
    assert is_instant(text)
    assert read_instant(text).utcoffset() is not None


@pytest.mark.parametrize(
    "text",
    [
        "1985-04-12 23:20:50Z",
        "1985-04-12T23:20Z",
        "1985-04-12",
        "1985-04-12T24:00:00Z",
        "1985-04-12T23:20:50+25:00",
        5,
    ],
)
def test_other_spellings_are_not_instants(text: object) -> None:
    assert not is_instant(text)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=8,
)
FIELDS = st.sampled_from([(name, field) for name, found in RECORD_TYPES.items() for field in found.fields])


@given(FIELDS, JSON)
@settings(max_examples=400, deadline=None)
def test_any_value_is_judged_and_what_passes_can_be_read(place: tuple[str, str], value: Any) -> None:
    type_name, field = place
    faults = check_set(type_name, {field: value}, creating=False)
    assert all(fault.pointer.startswith(f"/set/{field}") and fault.detail for fault in faults)
    if not faults:
        read_record(type_name, {field: value})
