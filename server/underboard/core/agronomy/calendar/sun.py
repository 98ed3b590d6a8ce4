"""When does the sun rise and set?"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault

#: Zenith of the sun's centre at rise and set [°]: 50 minutes of arc below the horizon.
RISE_SET_ZENITH: Final = 90 + 50 / 60
CIVIL_ZENITH: Final = 96.0


@dataclass(frozen=True)
class SunTimes:
    """The sun's day: aware times in the time zone asked for; None when it does not happen that day."""

    dawn: dt.datetime | None
    sunrise: dt.datetime | None
    sunset: dt.datetime | None
    dusk: dt.datetime | None
    why_not: tuple[str, ...]


def zone_of(time_zone: str) -> ZoneInfo:
    """The time zone of an IANA name; `InputFault` at ``/time_zone`` when there is none."""
    try:
        return ZoneInfo(time_zone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputFault(
            "/time_zone", f'There is no time zone "{time_zone[:40]}"; use a name such as "Europe/London".'
        ) from None


def sun(date: dt.date, latitude: float, longitude: float, time_zone: str) -> SunTimes:
    """Sunrise, sunset and civil twilight of one local day.

    Parameters
    ----------
    date
        Local date in `time_zone`.
    latitude, longitude
        Degrees, north and east positive [-90 to 90, -180 to 180].
    time_zone
        IANA name, such as Europe/London.

    Returns
    -------
    SunTimes

    Raises
    ------
    InputFault
        When there is no such time zone.

    Notes
    -----
    Rise and set: centre of the sun 50 minutes of arc below a level horizon; dawn and dusk: 6 degrees below
    (civil twilight). In polar day or night, or when the event falls outside the local date, None. Hills,
    hedges and refraction move the true moment by minutes.

    References
    ----------
    Meeus, J. (1998), Astronomical algorithms, as in the NOAA solar calculator and the astral library 3.2.

    Examples
    --------
    >>> import datetime
    >>> times = sun(datetime.date(2025, 6, 21), 52.63, 1.30, "Europe/London")
    >>> times.sunrise.strftime("%H:%M")
    '04:30'
    """
    zone = zone_of(time_zone)
    dawn = _moment(date, latitude, longitude, zone, CIVIL_ZENITH, rising=True)
    sunrise = _moment(date, latitude, longitude, zone, RISE_SET_ZENITH, rising=True)
    sunset = _moment(date, latitude, longitude, zone, RISE_SET_ZENITH, rising=False)
    dusk = _moment(date, latitude, longitude, zone, CIVIL_ZENITH, rising=False)
    missing = [
        name
        for name, moment in (("dawn", dawn), ("sunrise", sunrise), ("sunset", sunset), ("dusk", dusk))
        if moment is None
    ]
    why = (f"No {', '.join(missing)} on that day at that latitude.",) if missing else ()
    return SunTimes(dawn, sunrise, sunset, dusk, why)


def _moment(
    date: dt.date, latitude: float, longitude: float, zone: ZoneInfo, zenith: float, *, rising: bool
) -> dt.datetime | None:
    """The moment of that local day, searched over the neighbouring UTC days."""
    from astral import Observer, SunDirection
    from astral.sun import time_of_transit

    observer = Observer(latitude, longitude)
    direction = SunDirection.RISING if rising else SunDirection.SETTING
    for shift in (0, -1, 1):
        try:
            day = date + dt.timedelta(days=shift)
            moment = time_of_transit(observer, day, zenith, direction, with_refraction=False)
            local = moment.astimezone(zone)
        except (ValueError, OverflowError):
            continue
        if local.date() == date:
            return local.replace(microsecond=0)
    return None


CALCULATION = Calculation(
    name="sun",
    question="When does the sun rise and set?",
    source="Meeus 1998, Astronomical algorithms; NOAA solar calculator; astral 3.2",
    method="sun's centre 50′ below a level horizon; dawn and dusk civil, 6° below",
    params=(
        Param("date", "date", doc="Local date."),
        Param("latitude", "number", unit="°", low=-90, high=90, doc="North positive."),
        Param("longitude", "number", unit="°", low=-180, high=180, doc="East positive."),
        Param("time_zone", "text", doc="IANA name, such as Europe/London."),
    ),
    run=sun,
    example={"date": "2025-06-21", "latitude": 52.63, "longitude": 1.3, "time_zone": "Europe/London"},
    returns={"dawn, sunrise, sunset, dusk": "times with offset, null when it does not happen that day"},
    rules=(
        "Polar day and night: null, and why_not says so.",
        "Good to about a minute up to 60° of latitude; near the poles, where the sun grazes, worse.",
    ),
)
