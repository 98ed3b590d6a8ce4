"""Records about the ground and the people: plot, place, station, member."""

# ruff: noqa: RUF009 - spec() is dataclasses.field() with rules; every default is None

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from underboard.core.records.spec import Quantity, Record, record_type, spec

TEMPERATURE_UNITS = ("degC", "degF")


@record_type("plot")
@dataclass(frozen=True, kw_only=True)
class Plot(Record):
    """One holding. Its record has the plot's own id."""

    name: str | None = spec("text", "What the grower calls it.", required=True, max_length=120)
    time_zone: str | None = spec("time_zone", "IANA time zone; a day is a local date in it.", required=True)
    latitude: float | None = spec("number", "Degrees north.", minimum=-90, maximum=90)
    longitude: float | None = spec("number", "Degrees east.", minimum=-180, maximum=180)
    exact_location: bool | None = spec("yes_no", "Show and export the location finer than 0.01°.")
    units: Mapping[str, Any] | None = spec("settings", 'Preferred units: {"temperature": "degC" or "degF"}.')
    reading_habit: str | None = spec(
        "choice", "When the max/min thermometers are read and reset.", choices=("morning", "evening")
    )
    grass_out_year: int | None = spec(
        "whole", "Year the ground was broken from grass.", minimum=1800, maximum=2200
    )
    north_deg: float | None = spec(
        "number",
        "Where north lies on the sketch: degrees clockwise from the top of the page.",
        minimum=0,
        maximum=360,
    )
    invented: bool | None = spec("yes_no", "The plot is made up, for showing.")


@record_type("place")
@dataclass(frozen=True, kw_only=True)
class Place(Record):
    """A bed, tunnel, frame, path or store inside the plot."""

    kind: str | None = spec(
        "choice",
        "What it is.",
        required=True,
        choices=("bed", "tunnel", "frame", "open_ground", "path", "store"),
    )
    label: str | None = spec("text", "Its name on the plot.", required=True, max_length=80)
    length_m: float | None = spec("number", "Length in metres.", minimum=0, maximum=10_000)
    width_m: float | None = spec("number", "Width in metres.", minimum=0, maximum=10_000)
    outline: tuple[tuple[float, float], ...] | None = spec(
        "outline", "Corners on the sketch in metres: x to the right, y down the page.", max_length=200
    )
    area_m2: float | None = spec(
        "number", "Area in square metres, when it was measured.", minimum=0, maximum=1e7
    )
    broken_year: int | None = spec("whole", "Year broken from grass.", minimum=1800, maximum=2200)
    neighbours: tuple[str, ...] | None = spec(
        "choices", "What lies beside it.", choices=("grass_edge", "hedge", "heap")
    )
    archived: bool | None = spec("yes_no", "No longer used.")


@record_type("station")
@dataclass(frozen=True, kw_only=True)
class Station(Record):
    """A fixed spot where something is counted or read."""

    kind: str | None = spec(
        "choice",
        "What stands there.",
        required=True,
        choices=("slug_board", "bait_trap", "beetle_trap", "thermometer", "grass_minimum", "rain_gauge"),
    )
    place_id: str | None = spec("ref", "The place it lies in.", target="place")
    label: str | None = spec("text", "Its name, as written on it.", required=True, max_length=80)
    x_m: float | None = spec(
        "number", "Where it stands on the sketch: metres to the right.", minimum=-10_000, maximum=10_000
    )
    y_m: float | None = spec(
        "number", "Where it stands on the sketch: metres down the page.", minimum=-10_000, maximum=10_000
    )
    walk_order: int | None = spec("whole", "Its turn on the walk.", minimum=0, maximum=100_000)
    size_m2: float | None = spec("number", "Ground under a board, square metres.", minimum=0, maximum=100)
    core_diameter_m: float | None = spec(
        "number", "Diameter of a trap or core, metres.", minimum=0, maximum=10
    )
    bait: str | None = spec("text", "What it is baited with.", max_length=200)
    material: str | None = spec("text", "What it is made of.", max_length=200)
    exposure: str | None = spec(
        "choice", "How a thermometer hangs.", choices=("screen", "under_cover", "soil")
    )
    depth_m: float | None = spec("number", "Depth in the soil, metres.", minimum=0, maximum=5)
    offset: Quantity | None = spec(
        "quantity",
        "What to add to its readings (a difference).",
        units=TEMPERATURE_UNITS,
        minimum=-50,
        maximum=50,
    )
    set_on: str | None = spec("day", "Set out on this local date.")
    retired_on: str | None = spec("day", "Taken away on this local date.")


@record_type("member")
@dataclass(frozen=True, kw_only=True)
class Member(Record):
    """A person of the plot."""

    name: str | None = spec("text", "Name, as observers sign.", required=True, max_length=80)
    role: str | None = spec(
        "choice", "What they may do.", required=True, choices=("owner", "helper", "reader")
    )
