"""What the calendar calculations do at their edges."""

from __future__ import annotations

from typing import Any

import pytest

from underboard.core.agronomy import evaluate
from underboard.core.agronomy.unit_registry import NotAUnit, parse_unit, spelled_for_registry
from underboard.core.errors import InputFault

READ = {"read_at": "2026-05-10T07:30:00+01:00", "time_zone": "Europe/London"}


def refused(name: str, given: dict[str, Any]) -> InputFault:
    with pytest.raises(InputFault) as caught:
        evaluate(name, given)
    return caught.value


@pytest.mark.parametrize(
    ("last_reset_at", "accumulated"),
    [
        ("2026-05-10T05:00:00+01:00", False),
        ("2026-05-09T00:30:00+01:00", False),
        ("2026-05-08T23:30:00+01:00", True),
        ("2026-05-08T23:30:00Z", False),  # half past midnight of the 9th, local time
        (None, None),
    ],
)
def test_a_missed_reset_is_noticed(last_reset_at: str | None, accumulated: bool | None) -> None:
    found = evaluate("day-credit", {**READ, "last_reset_at": last_reset_at})
    assert found["accumulated"] is accumulated
    assert bool(found["why_not"]) == (accumulated is None)
    assert any("several days" in said for said in found["cautions"]) == bool(accumulated)


def test_nonsense_readings_are_refused() -> None:
    assert (
        refused("day-credit", {**READ, "last_reset_at": "2026-05-11T00:00:00Z"}).pointer == "/last_reset_at"
    )
    assert refused("day-credit", {**READ, "time_zone": "Mars/Olympus"}).pointer == "/time_zone"
    assert refused("day-credit", {**READ, "time_zone": "../../etc/passwd"}).pointer == "/time_zone"
    assert refused("day-credit", {**READ, "time_zone": "Europe"}).pointer == "/time_zone"
    assert refused("day-credit", {**READ, "read_at": "2026-05-10T07:30:00"}).pointer == "/read_at"


@pytest.mark.parametrize(
    ("read_at", "habit", "provisional"),
    [
        ("2026-06-21T06:59:00+01:00", "morning", True),  # 05:59 standard time
        ("2026-06-21T07:00:00+01:00", "morning", False),
        ("2026-01-05T05:59:00+00:00", "morning", True),
        ("2026-06-21T15:59:00+01:00", "evening", True),  # 14:59 standard time
        ("2026-06-21T16:00:00+01:00", "evening", False),
    ],
)
def test_early_readings_are_provisional(read_at: str, habit: str, provisional: bool) -> None:
    found = evaluate("day-credit", {**READ, "read_at": read_at, "habit": habit})
    assert found["provisional"] is provisional
    assert any("Read early" in said for said in found["cautions"]) == provisional


def test_a_place_makes_sunrise_known() -> None:
    """Norwich, 5 January: sunrise 08:05 UTC (PyEphem)."""
    there = {**READ, "read_at": "2025-01-05T07:30:00Z", "latitude": 52.63, "longitude": 1.3}
    assert evaluate("day-credit", there)["provisional"] is True
    assert evaluate("day-credit", {**there, "read_at": "2025-01-05T08:30:00Z"})["provisional"] is False
    # No sunrise in Tromsø on that day: the clock stands in.
    north = {**there, "time_zone": "Europe/Oslo", "latitude": 69.65, "longitude": 18.96}
    assert evaluate("day-credit", north)["provisional"] is False


def test_a_morning_plot_read_in_the_afternoon_is_doubtful() -> None:
    found = evaluate("day-credit", {**READ, "read_at": "2026-05-10T14:00:00+01:00"})
    assert "after noon" in found["cautions"][0]


def test_the_first_day_of_the_calendar_has_no_day_before() -> None:
    fault = refused("day-credit", {"read_at": "0001-01-01T09:00:00+00:00", "time_zone": "UTC"})
    assert fault.pointer == ""


def test_polar_night_and_polar_day() -> None:
    tromso = {"latitude": 69.65, "longitude": 18.96, "time_zone": "Europe/Oslo"}
    night = evaluate("sun", {"date": "2025-12-21", **tromso})
    assert night["sunrise"] is None and night["dawn"] is not None
    day = evaluate("sun", {"date": "2025-06-21", **tromso})
    assert [day[key] for key in ("dawn", "sunrise", "sunset", "dusk")] == [None] * 4


@pytest.mark.parametrize("date", ["0001-01-01", "9999-12-31"])
@pytest.mark.parametrize("latitude", [-90, 0, 90])
def test_the_ends_of_the_calendar_and_of_the_earth(date: str, latitude: float) -> None:
    found = evaluate("sun", {"date": date, "latitude": latitude, "longitude": 180, "time_zone": "UTC"})
    assert found["method"]


def test_sunrise_where_the_utc_date_differs_from_the_local() -> None:
    found = evaluate(
        "sun",
        {"date": "2025-01-05", "latitude": -43.53, "longitude": 172.64, "time_zone": "Pacific/Auckland"},
    )
    assert found["sunrise"].startswith("2025-01-05T05:5") and found["sunrise"].endswith("+13:00")


@pytest.mark.parametrize(
    ("start", "end", "pointer"),
    [
        ("degC", "m", "/to"),
        ("furlongs per fortnight", "m", "/from"),
        ("m", "", "/to"),
        ("m", "__import__('os')", "/to"),
        ("m**9999999", "m", "/from"),
        ("m", "x" * 61, "/to"),
        ("m*", "m", "/from"),
        ("2*m", "m", "/from"),
    ],
)
def test_units_that_are_none(start: str, end: str, pointer: str) -> None:
    assert refused("convert", {"value": 1, "from": start, "to": end}).pointer == pointer


def test_nothing_is_colder_than_absolute_zero() -> None:
    assert refused("convert", {"value": -274, "from": "degC", "to": "degF"}).pointer == "/value"
    assert refused("convert", {"value": -1, "from": "kelvin", "to": "degC"}).pointer == "/value"
    apart = evaluate("convert", {"value": -500, "from": "degC", "to": "degF", "difference": True})
    assert apart["value"] == pytest.approx(-900)


def test_a_gradient_of_temperature_is_a_difference() -> None:
    """9 °F per metre are 5 °C per metre."""
    found = evaluate("convert", {"value": 9, "from": "degF/m", "to": "degC/m"})
    assert found["value"] == pytest.approx(5)


def test_a_pure_number_has_no_unit() -> None:
    assert evaluate("convert", {"value": 3, "from": "m/m", "to": "percent"})["value"] == pytest.approx(300)
    assert evaluate("convert", {"value": 3, "from": "percent", "to": "m/m"})["unit"] == "1"


@pytest.mark.parametrize(
    ("words", "spelled"),
    [
        ("sq ft", "ft**2"),
        ("cubic metre", "metre**3"),
        ("kg m^-2", "kg*m**-2"),
        ("m²", "m**2"),
        ("US_gallon", "US_gallon"),
        ("1/acre", "1/international_acre"),
        ("sqyd", "yard**2"),
    ],
)
def test_a_growers_spelling(words: str, spelled: str) -> None:
    assert spelled_for_registry(words) == spelled


def test_words_that_are_no_unit_are_named() -> None:
    with pytest.raises(NotAUnit, match="square yard"):
        parse_unit("slugboard")
