"""Blight weather from a logger's hours: against the criteria counted by hand, and silence where hours are not known."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.warnings.demo_plot import PLOT, demo_records
from tests.core.warnings.made_facts import DAY, ask, crop, made, place, reading, station
from underboard.core.records.check import check_set
from underboard.core.warnings.digest import begin, take
from underboard.core.warnings.facts import EveningFact, Facts, PlotFact
from underboard.core.warnings.facts_of import facts_of

FIRST = date(2026, 7, 1)
LOGGER = station("logger", "thermometer", exposure="screen")
TUNNEL = station("inside", "thermometer", place_id="tunnel", exposure="under_cover")
PLACES = (place("bed"), place("tunnel", "tunnel"))
POTATO = crop("p", "Maincrop potatoes", "bed", (date(2026, 4, 20), "planted"))
UTC_PLOT = PlotFact("plot", "A plot", "UTC", 54.4, -0.5, "morning", None)


def hourly(days: list[tuple[float, int]], station_id: str = "logger", step: float = 1.0) -> list[Any]:
    """Readings of days: lowest temperature (at 05:00), and how many hours from midnight at 95 %."""
    found = []
    for n, (low, damp) in enumerate(days):
        hour = 0.0
        while hour < 24:
            found.append(
                reading(
                    station_id, FIRST + n * DAY, hour, id=f"{station_id}-{n}-{hour}",
                    current_c=low if hour == 5 else low + 4, humidity_percent=95.0 if hour < damp else 70.0,
                )
            )  # fmt: skip
            hour += step
    return found


def plot_of(readings: list[Any], **more: Any) -> Facts:
    return made(PLACES, (LOGGER, TUNNEL), readings=readings, crops=(POTATO,), plot=UTC_PLOT, **more)


def morning_after(n: int) -> datetime:
    return datetime(2026, 7, 1, 7, tzinfo=UTC) + timedelta(days=n)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from([8.0, 9.9, 10.0, 12.0]), st.integers(0, 12)), min_size=1, max_size=6)
)
def test_two_days_running_as_counted_by_hand(days: list[tuple[float, int]]) -> None:
    fit = [low >= 10 and damp >= 6 for low, damp in days]
    pairs = [i for i in range(1, len(days)) if fit[i - 1] and fit[i] and len(days) - i <= 5]
    dues, helds = ask("blight", plot_of(hourly(days)), morning_after(len(days)))
    assert bool(dues) == bool(pairs)
    if dues:
        assert dues[0].numbers["days"][1]["on"] == (FIRST + pairs[-1] * DAY).isoformat()
        assert dues[0].numbers["days"][1]["hours_rh_90"] == pytest.approx(days[pairs[-1]][1])
        assert dues[0].key == f"plot:{(FIRST + pairs[0] * DAY).isoformat()}"
        assert "not blight" in dues[0].caution and "Maincrop potatoes" in dues[0].headline
    else:
        assert "No two days running" in helds[0].why_not


def test_days_with_gaps_are_not_counted() -> None:
    days = [(12.0, 10), (12.0, 10)]
    assert ask("blight", plot_of(hourly(days, step=1.5)), morning_after(2))[0]
    dues, helds = ask("blight", plot_of(hourly(days, step=3.0)), morning_after(2))
    assert dues == [] and "gaps" in helds[0].why_not
    today_only = plot_of(hourly(days[:1]))
    assert "No logger" in ask("blight", today_only, datetime(2026, 7, 1, 20, tzinfo=UTC))[1][0].why_not


def test_under_cover_and_without_a_logger_nothing_is_claimed() -> None:
    days = [(14.0, 20), (14.0, 20)]
    dues, helds = ask("blight", plot_of(hourly(days, "inside")), morning_after(2))
    assert dues == [] and "No logger in the open" in helds[0].why_not
    evening = EveningFact("e", morning_after(0), FIRST, "bed", 15.0, 14.5, None, None)
    assert "one moment" in ask("blight", plot_of([], evenings=[evening]), morning_after(2))[1][0].why_not
    bare = made(PLACES, (LOGGER,), readings=hourly(days), plot=UTC_PLOT)
    assert "No potatoes or tomatoes" in ask("blight", bare, morning_after(2))[1][0].why_not


def test_humidity_comes_with_a_loggers_readings_through_the_records() -> None:
    plot = next(one for one in demo_records() if one["type"] == "plot")
    places = [one for one in demo_records() if one["type"] in ("place", "station")]
    screen = next(
        one for one in places if one["type"] == "station" and one["body"].get("exposure") == "screen"
    )
    body = {
        "station_id": screen["id"],
        "observed_at": "2026-07-01T03:00:00+01:00",
        "current": {"value": 11.5, "unit": "degC"},
        "humidity_percent": 93.5,
    }
    assert check_set("temperature", body, creating=True) == []
    assert (
        check_set("temperature", {**body, "humidity_percent": 101}, creating=True)[0].pointer
        == "/set/humidity_percent"
    )
    digest = begin(PLOT, plot["body"])
    take(digest, [*places, {"id": "t", "type": "temperature", "body": body, "conflicts": []}])
    assert facts_of(digest).readings[0].humidity_percent == 93.5
