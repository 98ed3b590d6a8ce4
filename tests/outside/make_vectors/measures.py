"""Vectors of unit conversion and of the day a reading belongs to."""

import csv
from pathlib import Path
from typing import Any

import pint
from writing import Vectors

OUTSIDE = Path(__file__).parents[3] / "fixtures" / "outside"

#: A grower's unit → the same in the words of an untouched pint registry.
PINT_WORDS = {
    "acre": "4840 * yard**2",
    "square yard": "yard**2",
    "sq_ft": "foot**2",
    "rod": "30.25 * yard**2",
    "perch": "30.25 * yard**2",
    "m²": "meter**2",
    "pint": "imperial_pint",
    "gallon": "imperial_gallon",
    "gallons": "imperial_gallon",
    "fluid_ounce": "imperial_fluid_ounce",
    "us_pint": "pint",
    "us_gallon": "gallon",
    "lb/acre": "lb / (4840 * yard**2)",
    "kelvin": "kelvin",
}


def convert() -> Vectors:
    registry = pint.UnitRegistry()
    v = Vectors(
        "convert",
        source="international yard and pound 1959; Weights and Measures Act 1985; rod: 5½ yards square",
        computed_with=f"pint {pint.__version__}, its own registry; units_public.csv",
        notes={
            "public": "A row of units_public.csv.",
            "difference": "A difference of temperatures, not a temperature.",
            "imperial": "Pint and gallon are imperial unless us_ stands before them.",
            "allotment": "The allotment's rod, pole and perch are areas; the acre is the international one.",
        },
        tolerance={"rel": 1e-9, "abs": 1e-9},
    )

    def add(
        value: float, start: str, end: str, flags: tuple[str, ...] = (), difference: bool = False
    ) -> None:
        quantity = registry.Quantity(value, registry.parse_units("dimensionless"))
        if "deg" in start or start == "kelvin":
            words = [f"delta_{unit}" if difference else unit for unit in (start, end)]
            quantity = registry.Quantity(value, words[0]).to(words[1])
            want = float(quantity.magnitude)
        else:
            one, other = (registry(PINT_WORDS.get(unit, unit)) for unit in (start, end))
            want = float(value * (one / other).to("dimensionless").magnitude)
        given: dict[str, Any] = {"value": value, "from": start, "to": end}
        if difference:
            given["difference"] = True
        name = f"{value}_{start}_to_{end}{'_difference' if difference else ''}".lower()
        for old, new in (("**", ""), ("/", "_per_"), ("-", "m"), (".", "_"), (" ", "_"), ("²", "2")):
            name = name.replace(old, new)
        v.answer(name, f"{start} to {end}.", given, {"value": want}, flags=flags)

    with (OUTSIDE / "units_public.csv").open() as lines:
        for row in csv.DictReader(lines):
            if "acre" not in row["from_unit"]:  # there it is the US survey acre
                add(float(row["value"]), row["from_unit"], row["to_unit"], ("public",))
    for fahrenheit in (28, 32, 35, 40, 45, 60):
        add(fahrenheit, "degF", "degC")
    add(21.5, "degC", "degF")
    add(0, "kelvin", "degC")
    add(9, "degF", "degC", ("difference",), True)
    add(5, "degC", "degF", ("difference",), True)
    for value, start, end in (
        (10, "rod", "m**2"),
        (1, "perch", "square yard"),
        (1, "acre", "m²"),
        (2.5, "acre", "hectare"),
        (100, "lb/acre", "kg/hectare"),
        (3, "sq_ft", "m**2"),
    ):
        add(value, start, end, ("allotment",))
    for value, start, end in (
        (1, "pint", "ml"),
        (2, "gallons", "liter"),
        (1, "us_pint", "ml"),
        (3, "us_gallon", "gallon"),
        (4, "fluid_ounce", "ml"),
    ):
        add(value, start, end, ("imperial",))
    add(6, "oz", "g")
    add(4, "mph", "km/hour")
    v.refused("unknown_unit", "No such unit.", {"value": 1, "from": "florb", "to": "m"}, "/from")
    v.refused("unknown_target", "No such unit.", {"value": 1, "from": "m", "to": "m***2"}, "/to")
    v.refused("different_things", "Length to mass.", {"value": 1, "from": "m", "to": "kg"}, "/to")
    v.refused("no_temperature", "Warmth to length.", {"value": 1, "from": "degC", "to": "m"}, "/to")
    v.answer(
        "degree_days",
        "In a compound a degree is a difference: a sum of 10 °C·d is 18 °F·d.",
        {"value": 10, "from": "degC*day", "to": "degF*day"},
        {"value": 18},
        flags=("difference",),
    )
    v.refused("too_cold", "Below absolute zero.", {"value": -500, "from": "degF", "to": "degC"}, "/value")
    v.refused("value_text", "Text.", {"value": "10", "from": "m", "to": "cm"}, "/value")
    return v


def day_credit() -> Vectors:
    v = Vectors(
        "day-credit",
        source="Climatological Observers Link and CEDA (09 UTC throwback); evening reader from memory",
        computed_with="dates by hand from the published rule",
        notes={
            "published": "The rule as the climatological observers print it.",
            "missed": "A reset was missed: the figures span several days.",
            "early": "The extreme may still be to come.",
            "zone": "The local date is not the date in UTC, or the zone's winter is its odd time.",
        },
    )

    def add(
        name: str,
        comment: str,
        given: dict[str, Any],
        days: tuple[str, str],
        more: dict[str, Any],
        flags: tuple[str, ...] = (),
        says: dict[str, list[str]] | None = None,
    ) -> None:
        out = {"max_on": days[0], "min_on": days[1], "accumulated": None, "provisional": False, **more}
        v.answer(name, comment, {"time_zone": "Europe/London", **given}, out, flags=flags, says=says)

    add(
        "morning_in_may",
        "07:30 summer time.",
        {"read_at": "2026-05-10T07:30:00+01:00", "habit": "morning"},
        ("2026-05-09", "2026-05-10"),
        {},
        ("published",),
        {"why_not": ["last reset is unknown"]},
    )
    add(
        "new_year",
        "The maximum goes to the old year.",
        {"read_at": "2026-01-01T09:00:00+00:00"},
        ("2025-12-31", "2026-01-01"),
        {},
        ("published",),
    )
    add(
        "evening",
        "Both to the day.",
        {"read_at": "2026-05-10T18:00:00+01:00", "habit": "evening"},
        ("2026-05-10", "2026-05-10"),
        {},
    )
    read = {"read_at": "2026-05-10T07:30:00+01:00"}
    add(
        "reset_yesterday",
        "One day.",
        {**read, "last_reset_at": "2026-05-09T05:10:00Z"},
        ("2026-05-09", "2026-05-10"),
        {"accumulated": False},
        says={"why_not": [], "cautions": []},
    )
    add(
        "reset_missed",
        "Two days.",
        {**read, "last_reset_at": "2026-05-08T20:00:00+01:00"},
        ("2026-05-09", "2026-05-10"),
        {"accumulated": True},
        ("missed",),
        {"cautions": ["several days"]},
    )
    early = {"read_at": "2026-06-14T04:30:00+01:00"}
    add(
        "before_sunrise",
        "Norwich, sunrise 04:31 on that day.",
        {**early, "latitude": 52.63, "longitude": 1.3},
        ("2026-06-13", "2026-06-14"),
        {"provisional": True},
        ("early",),
        {"cautions": ["minimum"]},
    )
    late = {"read_at": "2026-06-14T04:34:00+01:00", "latitude": 52.63, "longitude": 1.3}
    add("after_sunrise", "Four minutes later.", late, ("2026-06-13", "2026-06-14"), {})
    add(
        "no_place",
        "Without a place 06:00 standard time stands in for sunrise.",
        {"read_at": "2026-06-14T06:50:00+01:00"},
        ("2026-06-13", "2026-06-14"),
        {"provisional": True},
        ("early",),
    )
    add(
        "noon_evening_reader",
        "The day's warmest hour is still to come.",
        {"read_at": "2026-05-10T14:30:00+01:00", "habit": "evening"},
        ("2026-05-10", "2026-05-10"),
        {"provisional": True},
        ("early",),
        {"cautions": ["maximum"]},
    )
    add(
        "afternoon_morning_reader",
        "Doubtful days.",
        {"read_at": "2026-05-10T14:30:00+01:00"},
        ("2026-05-09", "2026-05-10"),
        {},
        says={"cautions": ["after noon"]},
    )
    add(
        "auckland",
        "Still yesterday in UTC.",
        {"read_at": "2026-02-10T20:00:00Z", "time_zone": "Pacific/Auckland"},
        ("2026-02-10", "2026-02-11"),
        {},
        ("zone",),
    )
    add(
        "dublin_winter",
        "In December Ireland is on Greenwich time: 05:30 is before six.",
        {"read_at": "2026-12-10T05:30:00Z", "time_zone": "Europe/Dublin"},
        ("2026-12-09", "2026-12-10"),
        {"provisional": True},
        ("early", "zone"),
    )
    good = {**read, "time_zone": "Europe/London"}
    v.refused(
        "reset_after",
        "Reset in the future.",
        {**good, "last_reset_at": "2026-05-11T07:00:00Z"},
        "/last_reset_at",
    )
    v.refused(
        "no_offset", "A time without its offset.", {**good, "read_at": "2026-05-10T07:30:00"}, "/read_at"
    )
    v.refused("no_zone", "No such zone.", {**good, "time_zone": "Mars/Base"}, "/time_zone")
    v.refused("habit", "Neither morning nor evening.", {**good, "habit": "noon"}, "/habit")
    return v


FILES = {"convert": convert, "day-credit": day_credit}
