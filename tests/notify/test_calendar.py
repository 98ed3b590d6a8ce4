"""The calendar, read back by the library that calendars are written with, and by a plain look at its lines."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from icalendar import Calendar, Component

from underboard.notify.calendar import calendar_of

NOW = datetime(2026, 5, 12, 20, 0, tzinfo=UTC)
PLOT = {"name": "Mill Lane; beds, rows", "time_zone": "Europe/London"}
FROST = {
    "rule": "frost",
    "headline": "Frost likely; tunnel, bed 1\nBEGIN:VEVENT",
    "why": "Air 6.0 °C",
    "advice": "Cover",
    "caution": "No open flame",
    "raised_at": "2026-05-12T19:00:00+00:00",
    "updated_at": "2026-05-12T19:30:00+00:00",
    "window_start": "2026-05-13T00:00:00+01:00",
    "window_end": "2026-05-13T06:00:00+01:00",
}


def wire(type_name: str, body: dict[str, Any], id_: str = "a", rev: int = 1) -> dict[str, Any]:
    return {"id": id_, "type": type_name, "rev": rev, "body": body}


def events(*records: dict[str, Any]) -> list[Component]:
    made = calendar_of([wire("plot", PLOT), *records], NOW, "https://plot.example")
    return list(Calendar.from_ical(made).walk("VEVENT"))


def test_a_warning_is_an_event_with_a_lasting_name_that_counts_its_changes() -> None:
    (event,) = events(wire("warning", FROST, "w1", rev=3))
    assert (event["UID"], event["SEQUENCE"], event["STATUS"]) == ("w1@underboard", 3, "CONFIRMED")
    assert event.decoded("DTSTART") == datetime(2026, 5, 12, 23, 0, tzinfo=UTC)
    assert event.decoded("DTEND") == datetime(2026, 5, 13, 5, 0, tzinfo=UTC)
    assert event.decoded("DTSTAMP") == datetime(2026, 5, 12, 19, 30, tzinfo=UTC)
    assert event["DESCRIPTION"] == "Air 6.0 °C\n\nCover\n\nNo open flame"
    assert event["TRANSP"] == "TRANSPARENT"


def test_what_people_wrote_cannot_begin_an_event_of_its_own() -> None:
    """RFC 5545, sections 3.1 and 3.3.11: lines of at most 75 octets, and text with its marks escaped."""
    made = calendar_of(
        [
            wire("plot", PLOT),
            wire("warning", {**FROST, "why": "\x00\x07end\r\nEND:VCALENDAR\r\n" + "ü" * 400}, "w1"),
        ],
        NOW,
        "https://plot.example",
    )
    lines = made.split(b"\r\n")
    assert lines.count(b"BEGIN:VEVENT") == 1 and lines.count(b"END:VCALENDAR") == 1
    assert max(map(len, lines)) <= 75 and b"\x00" not in made and b"\x07" not in made
    (event,) = Calendar.from_ical(made).walk("VEVENT")
    assert event["SUMMARY"] == FROST["headline"]
    assert Calendar.from_ical(made)["NAME"] == PLOT["name"]


def test_what_was_called_off_before_it_began_is_struck_out_and_what_happened_stays() -> None:
    off = {**FROST, "ended_at": "2026-05-12T20:30:00+00:00"}
    over = {**FROST, "ended_at": "2026-05-13T05:00:00+00:00"}
    assert [event["STATUS"] for event in events(wire("warning", off), wire("warning", over, "b"))] == [
        "CANCELLED",
        "CONFIRMED",
    ]


def test_old_silent_and_unwanted_warnings_are_left_out() -> None:
    old = {**FROST, "window_start": "2026-03-01T00:00:00Z", "window_end": "2026-03-01T06:00:00Z"}
    quiet = {**FROST, "loud": False}
    timeless = {name: value for name, value in FROST.items() if not name.startswith("window")}
    assert events(wire("warning", old), wire("warning", quiet, "b"), wire("warning", timeless, "c")) == []
    for watch, count in (
        ({"rule": "frost", "channels": ["push"]}, 0), ({"rule": "frost", "channels": ["calendar"]}, 1),
        ({"rule": "frost", "on": False}, 0), ({"rule": "frost"}, 1), ({"rule": "surge", "channels": []}, 1),
    ):  # fmt: skip
        assert len(events(wire("warning", FROST), wire("watch", watch, "w"))) == count, watch


def trap(**changes: Any) -> dict[str, Any]:
    return wire("station", {"kind": "bait_trap", "label": "A1", **changes}, "s1")


def catch(id_: str, **body: Any) -> dict[str, Any]:
    return wire("trap_catch", {"station_id": "s1", **body}, id_, rev=2)


def test_a_trap_in_the_ground_is_due_from_its_tenth_to_its_fourteenth_day() -> None:
    # 23:30 UTC on 4 May is 5 May in London; 10 to 14 days later is 15 to 19 May, and a day event ends on the next
    (event,) = events(trap(), catch("c1", set_at="2026-05-04T23:30:00Z"))
    assert (event.decoded("DTSTART"), event.decoded("DTEND")) == (date(2026, 5, 15), date(2026, 5, 20))
    assert (event["UID"], event["SUMMARY"], event["SEQUENCE"]) == ("trap-c1@underboard", "Lift trap A1", 2)


def test_a_lifted_trap_is_not_due_unless_it_was_baited_anew() -> None:
    lifted = {"set_at": "2026-05-01T08:00:00Z", "observed_at": "2026-05-12T08:00:00Z", "state": "none_found"}
    assert events(trap(), catch("c1", **lifted)) == []
    (again,) = events(trap(), catch("c1", **lifted, rebaited=True))
    assert again.decoded("DTSTART") == date(2026, 5, 22)
    (later,) = events(
        trap(), catch("c1", **lifted, rebaited=True), catch("c2", set_at="2026-05-12T09:00:00Z")
    )
    assert later["UID"] == "trap-c2@underboard"
    left = {**lifted, "state": "not_turned"}
    (still,) = events(trap(), catch("c0", set_at="2026-05-01T08:00:00Z"), catch("c1", **left))
    assert still["UID"] == "trap-c0@underboard"
    assert events(trap(retired_on="2026-05-02"), catch("c1", set_at="2026-05-01T08:00:00Z")) == []


def test_times_that_are_none_are_no_fault() -> None:
    strange = {**FROST, "window_end": "0001-01-01T00:00:00+14:00", "updated_at": "soon", "ended_at": 5}
    (event,) = events(wire("warning", strange), catch("c9", set_at="never"))
    assert "DTEND" not in event
