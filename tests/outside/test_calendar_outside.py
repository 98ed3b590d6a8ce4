"""Sun, units and the day of a reading against ephem, pint's tables and the observers' rules."""

from __future__ import annotations

import datetime as dt
import math

import ephem
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.outside.reading import rows
from underboard.core.agronomy import evaluate

ZONES = {
    "Norwich": "Europe/London",
    "Edinburgh": "Europe/London",
    "Quito": "America/Guayaquil",
    "Christchurch": "Pacific/Auckland",
    "Tromso": "Europe/Oslo",
}


@pytest.mark.parametrize("row", rows("sun_public"), ids=lambda row: f"{row['site']}-{row['date']}")
def test_sun_of_sixty_days(row: dict[str, str]) -> None:
    """PyEphem 4.2.1, each event confirmed by pvlib 0.16.1; tolerance as the table states it for each row."""
    found = evaluate(
        "sun",
        {
            "date": row["date"],
            "latitude": float(row["lat"]),
            "longitude": float(row["lon"]),
            "time_zone": ZONES[row["site"]],
        },
    )
    for event in ("sunrise", "sunset"):
        if not row[f"{event}_utc"]:
            assert found[event] is None
            assert event in found["why_not"][0]
            continue
        want = dt.datetime.fromisoformat(row[f"{event}_utc"])
        got = dt.datetime.fromisoformat(found[event])
        assert abs((got - want).total_seconds()) <= float(row[f"{event}_tol_s"])
        assert got.date().isoformat() == row["date"]


@settings(max_examples=80, deadline=None)
@given(
    date=st.dates(dt.date(1990, 1, 1), dt.date(2050, 12, 31)),
    latitude=st.floats(-58, 58),
    longitude=st.floats(-170, 170),
)
def test_sun_anywhere_against_ephem(date: dt.date, latitude: float, longitude: float) -> None:
    """ephem: centre of the sun at -50′ (rise, set) and -6° (civil), no refraction, within 90 s."""
    hours = round(longitude / 15)
    # Etc/GMT names count westward, the opposite of every other use.
    zone = f"Etc/GMT{-hours:+d}" if hours else "UTC"
    found = evaluate(
        "sun", {"date": str(date), "latitude": latitude, "longitude": longitude, "time_zone": zone}
    )
    noon = dt.datetime.combine(date, dt.time(12)) - dt.timedelta(hours=hours)
    place = ephem.Observer()
    place.lat, place.lon, place.pressure = math.radians(latitude), math.radians(longitude), 0
    for rise, fall, horizon in (("sunrise", "sunset", "-0:50"), ("dawn", "dusk", "-6")):
        place.horizon, place.date = horizon, noon
        try:
            wanted = {
                rise: place.previous_rising(ephem.Sun(), use_center=True).datetime(),
                fall: place.next_setting(ephem.Sun(), use_center=True).datetime(),
            }
        except (ephem.AlwaysUpError, ephem.NeverUpError):
            continue
        for event, want in wanted.items():
            if found[event] is None:
                # Only when the event slips past midnight of that day.
                assert (want + dt.timedelta(hours=hours)).date() != date
            else:
                got = dt.datetime.fromisoformat(found[event]).astimezone(dt.UTC).replace(tzinfo=None)
                assert abs((got - want).total_seconds()) < 90


SURVEY_ACRE = 4e-6  # pint's own acre is the US survey acre, 4 parts in a million larger than ours


@pytest.mark.parametrize("row", rows("units_public"), ids=lambda row: f"{row['from_unit']}-{row['to_unit']}")
def test_units_of_the_table(row: dict[str, str]) -> None:
    """pint 0.25.3. Acres differ on purpose: the international acre is meant here."""
    found = evaluate(
        "convert", {"value": float(row["value"]), "from": row["from_unit"], "to": row["to_unit"]}
    )
    acre = "acre" in row["from_unit"]
    assert found["value"] == pytest.approx(float(row["result"]), rel=1.01 * SURVEY_ACRE if acre else 1e-9)


@pytest.mark.parametrize(
    ("value", "start", "end", "want"),
    [
        (1, "acre", "m**2", 4046.8564224),  # Weights and Measures Act 1985
        (1, "hectare", "acre", 2.4710538147),
        (1, "rod", "m**2", 25.29285264),
        (10, "perch", "m^2", 252.9285264),
        (1, "pole", "square yard", 30.25),
        (1, "square yard", "m²", 0.83612736),
        (160, "rods", "acres", 1),
        (25_000, "1/acre", "1/hectare", 61_776.34536831),
        (1, "gallon", "litre", 4.54609),  # imperial
        (1, "pint", "litre", 0.56826125),  # imperial
        (1, "us_gallon", "litre", 3.785411784),
        (1, "us_pint", "litre", 0.473176473),
        (8, "pints", "gallon", 1),
        (28, "degF", "degC", -2.2222222),
        (35, "degF", "degC", 1.6666667),
        (45, "degF", "°C", 7.2222222),
        (60, "degF", "degC", 15.5555556),
        (1.25, "m3", "litre", 1250),
    ],
)
def test_allotment_and_imperial_units(value: float, start: str, end: str, want: float) -> None:
    """Weights and Measures Act 1985 and NIST SP 811 definitions, by hand."""
    found = evaluate("convert", {"value": value, "from": start, "to": end})
    assert found["value"] == pytest.approx(want, rel=1e-7)


def test_a_difference_has_no_zero_point() -> None:
    """9 °F of difference are 5 °C; 9 °F on the thermometer are -12.78 °C."""
    apart = evaluate("convert", {"value": 9, "from": "degF", "to": "degC", "difference": True})
    read = evaluate("convert", {"value": 9, "from": "degF", "to": "degC"})
    assert apart["value"] == pytest.approx(5)
    assert read["value"] == pytest.approx(-12.7777778)


@pytest.mark.parametrize(
    ("read_at", "habit", "max_on", "min_on"),
    [
        # Climatological Observers Link, CEDA: maximum to the day before, minimum to the day of reading.
        ("2026-05-10T07:30:00+01:00", "morning", "2026-05-09", "2026-05-10"),
        ("2026-01-01T09:00:00+00:00", "morning", "2025-12-31", "2026-01-01"),
        # The same moment written in UTC; a day is a local date.
        ("2026-05-09T23:30:00Z", "evening", "2026-05-10", "2026-05-10"),
        # Evening reader (from memory): both to the day of reading.
        ("2026-05-10T18:00:00+01:00", "evening", "2026-05-10", "2026-05-10"),
    ],
)
def test_the_day_of_a_reading(read_at: str, habit: str, max_on: str, min_on: str) -> None:
    found = evaluate("day-credit", {"read_at": read_at, "time_zone": "Europe/London", "habit": habit})
    assert (found["max_on"], found["min_on"]) == (max_on, min_on)


def test_a_dawn_round_in_june_is_provisional() -> None:
    """04:50 BST: the minimum may still be to come (from memory)."""
    given = {"read_at": "2026-06-21T04:50:00+01:00", "time_zone": "Europe/London", "habit": "morning"}
    assert evaluate("day-credit", given)["provisional"] is True
    # Norwich sees the sun at 04:31 BST that day (PyEphem row of 2025): then the minimum is in.
    there = {**given, "latitude": 52.63, "longitude": 1.3}
    assert evaluate("day-credit", there)["provisional"] is False
