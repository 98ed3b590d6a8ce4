"""Vectors of the sun and of the day a reading belongs to."""

import csv
import datetime as dt
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import ephem
from writing import Vectors

OUTSIDE = Path(__file__).parents[3] / "fixtures" / "outside"
UTC = dt.UTC

#: An IANA zone of the same standard offset for each site of sun_public.csv; the zone without summer time
#: where the date in summer time would be another than the one the reference was made for.
ZONES = {"Norwich": "Europe/London", "Edinburgh": "Europe/London", "Quito": "America/Guayaquil",
         "Christchurch": "Pacific/Auckland", "Tromso": "Europe/Oslo"}  # fmt: skip


def _events(lat: float, lon: float, date: dt.date, zone: str, horizon: str) -> dict[str, str | None]:
    """Risings and settings through `horizon` on a local date, by ephem."""
    observer = ephem.Observer()
    observer.lat, observer.lon = str(lat), str(lon)
    observer.pressure, observer.horizon = 0, horizon
    midnight = dt.datetime.combine(date, dt.time(), ZoneInfo(zone)).astimezone(UTC).replace(tzinfo=None)
    found: dict[str, str | None] = {"rise": None, "set": None}
    for key, move in (("rise", observer.next_rising), ("set", observer.next_setting)):
        observer.date = midnight
        try:
            moment = move(ephem.Sun(), use_center=True).datetime().replace(tzinfo=UTC, microsecond=0)
        except (ephem.AlwaysUpError, ephem.NeverUpError):
            continue
        local = moment.astimezone(ZoneInfo(zone))
        found[key] = local.isoformat() if local.date() == date else None
    return found


def _local(text: str | None, zone: str) -> str | None:
    if not text:
        return None
    moment = dt.datetime.fromisoformat(text.replace("Z", "+00:00")).replace(microsecond=0)
    return moment.astimezone(ZoneInfo(zone)).isoformat()


def sun() -> Vectors:
    v = Vectors(
        "sun",
        source="Meeus 1998, Astronomical Algorithms; sun_public.csv",
        computed_with=f"ephem {ephem.__version__}: centre of the sun at -0°50' and -6°, no refraction model",
        notes={
            "polar": "No rise or set, or no night, on this date: null, and why_not says which.",
            "after_midnight": "An event belongs to the local date on which it falls.",
            "other_date": "The date in UTC is another than the local date.",
        },
        tolerance={"rel": 0, "abs": 0, "seconds": 60, "reason": "60 s and the effect of 2' of horizon"},
    )
    with (OUTSIDE / "sun_public.csv").open() as lines:
        for row in csv.DictReader(lines):
            zone, lat, lon = ZONES[row["site"]], float(row["lat"]), float(row["lon"])
            date = dt.date.fromisoformat(row["date"])
            out: dict[str, Any] = {
                "sunrise": _local(row["sunrise_utc"], zone),
                "sunset": _local(row["sunset_utc"], zone),
            }
            twilight = _events(lat, lon, date, zone, "-6")
            out |= {"dawn": twilight["rise"], "dusk": twilight["set"]}
            flags = ("polar",) if None in out.values() else ()
            flags += ("other_date",) if row["site"] == "Christchurch" else ()
            room = max([int(row[key]) for key in ("sunrise_tol_s", "sunset_tol_s") if row[key]], default=60)
            v.answer(
                f"{row['site']}_{row['date']}".lower().replace("-", "_"),
                f"{row['site']}, {row['date']}.",
                {"date": row["date"], "latitude": lat, "longitude": lon, "time_zone": zone},
                out,
                flags=flags,
                says={"why_not": []} if not flags or flags == ("other_date",) else None,
                tolerance={"seconds": room + 20, "reason": "the row's own tolerance, and 20 s for twilight"},
            )
    _far_north(v)
    given = {"date": "2026-06-21", "latitude": 52.6, "longitude": 1.3, "time_zone": "Europe/London"}
    v.refused("no_such_date", "30 February.", {**given, "date": "2026-02-30"}, "/date")
    v.refused("past_the_pole", "Latitude 91.", {**given, "latitude": 91}, "/latitude")
    v.refused("no_such_zone", "A zone of no place.", {**given, "time_zone": "Europe/Nowhere"}, "/time_zone")
    v.refused("date_number", "A number.", {**given, "date": 20260621}, "/date")
    return v


def _far_north(v: Vectors) -> None:
    """Lerwick at midsummer: dusk falls after midnight, on the next date."""
    date, lat, lon, zone = dt.date(2026, 6, 20), 60.155, -1.145, "Europe/London"
    day, twilight = (_events(lat, lon, date, zone, horizon) for horizon in ("-0:50", "-6"))
    v.answer(
        "lerwick_midsummer",
        "The dusk of this date is the one of the evening before.",
        {"date": date.isoformat(), "latitude": lat, "longitude": lon, "time_zone": zone},
        {"dawn": twilight["rise"], "sunrise": day["rise"], "sunset": day["set"], "dusk": twilight["set"]},
        flags=("after_midnight",),
        tolerance={"seconds": 120, "reason": "the sun grazes -6° this far north"},
    )


FILES = {"sun": sun}
