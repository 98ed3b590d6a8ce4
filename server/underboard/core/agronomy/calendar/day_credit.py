"""Which days do a maximum and a minimum belong to?"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.calendar.sun import sun, zone_of
from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault

#: A morning reading before this hour of standard time may come before the night's minimum.
EARLIEST_MORNING: Final = 6
#: An evening reading before this hour of standard time may come before the day's maximum.
EARLIEST_EVENING: Final = 15


@dataclass(frozen=True)
class DayCredit:
    """The days of a max-min reading.

    Attributes
    ----------
    max_on, min_on
        Local dates the maximum and the minimum are credited to.
    accumulated
        A reset was missed, so the figures span more than one day; None when the last reset is unknown.
    provisional
        The extreme may still be to come.
    """

    max_on: dt.date
    min_on: dt.date
    accumulated: bool | None
    provisional: bool
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def day_credit(
    read_at: dt.datetime,
    time_zone: str,
    habit: str = "morning",
    last_reset_at: dt.datetime | None = None,
    latitude: float | None = None,
    longitude: float | None = None,
) -> DayCredit:
    """Credit the maximum and minimum of a reading to days.

    Parameters
    ----------
    read_at
        When it was read and reset, with offset.
    time_zone
        IANA name of the plot's time zone; a day is a local date.
    habit
        ``morning`` or ``evening``: when this plot is read.
    last_reset_at
        When it was reset before, with offset; None when unknown.
    latitude, longitude
        Where [°], to know sunrise; without them 06:00 standard time stands in.

    Returns
    -------
    DayCredit

    Raises
    ------
    InputFault
        When the last reset lies after the reading, or there is no such time zone.

    Notes
    -----
    Morning: the maximum belongs to the day before, the minimum to the day of reading, whatever the true
    time. Evening: both belong to the day of reading. Accumulated when the last reset was not on the day of
    reading or the day before. Provisional: a morning reading before sunrise (without a place: before 06:00
    standard time), an evening reading before 15:00 standard time.

    References
    ----------
    Climatological Observers Link and CEDA on the 09 UTC throwback; readings from 06 to 09 UTC are acceptable.
    Evening reader: from memory. 15:00: common practice, no source.

    Examples
    --------
    >>> import datetime
    >>> found = day_credit(datetime.datetime.fromisoformat("2026-05-10T07:30:00+01:00"), "Europe/London")
    >>> found.max_on.isoformat(), found.min_on.isoformat()
    ('2026-05-09', '2026-05-10')
    """
    zone = zone_of(time_zone)
    local = read_at.astimezone(zone)
    today = local.date()
    why_not: tuple[str, ...] = ()
    accumulated = None
    if last_reset_at is None:
        why_not = ("The last reset is unknown, so nobody can say whether the figures span several days.",)
    elif last_reset_at > read_at:
        raise InputFault("/last_reset_at", "The last reset lies after the reading; check both times.")
    else:
        accumulated = (today - last_reset_at.astimezone(zone).date()).days > 1
    morning = habit == "morning"
    standard = _standard(local, zone)
    if morning:
        provisional = _before_sunrise(local, standard, time_zone, latitude, longitude)
    else:
        provisional = standard.hour < EARLIEST_EVENING
    return DayCredit(
        max_on=today - dt.timedelta(days=1) if morning else today,
        min_on=today,
        accumulated=accumulated,
        provisional=provisional,
        why_not=why_not,
        cautions=_cautions(morning, standard, bool(accumulated), provisional),
    )


def _standard(local: dt.datetime, zone: dt.tzinfo) -> dt.datetime:
    """The same moment by the clock of winter.

    Notes
    -----
    Not ``local.dst()``: the time zone table counts Ireland's winter as an hour taken off its standard time.
    """
    offsets = [
        dt.datetime(local.year, month, 1, tzinfo=zone).utcoffset() or dt.timedelta() for month in (1, 7)
    ]
    return local.astimezone(dt.timezone(min(offsets)))


def _before_sunrise(
    local: dt.datetime,
    standard: dt.datetime,
    time_zone: str,
    latitude: float | None,
    longitude: float | None,
) -> bool:
    if latitude is not None and longitude is not None:
        sunrise = sun(local.date(), latitude, longitude, time_zone).sunrise
        if sunrise is not None:
            return local < sunrise
    return standard.hour < EARLIEST_MORNING


def _cautions(morning: bool, standard: dt.datetime, accumulated: bool, provisional: bool) -> tuple[str, ...]:
    said = []
    if accumulated:
        said.append("A reset was missed: the figures span several days; leave them out of daily means.")
    if provisional:
        extreme = "minimum" if morning else "maximum"
        said.append(f"Read early: the day's {extreme} may still be to come; read once more.")
    if morning and standard.hour >= 12:
        said.append("Read after noon on a plot that reads in the morning: the credited days are doubtful.")
    return tuple(said)


CALCULATION = Calculation(
    name="day-credit",
    question="Which days do a maximum and a minimum belong to?",
    source="Climatological Observers Link and CEDA (09 UTC throwback); evening reader from memory",
    method="morning: maximum to the day before, minimum to the day of reading; evening: both to that day",
    params=(
        Param("read_at", "datetime", doc="When it was read and reset, with offset."),
        Param("time_zone", "text", doc="IANA name, such as Europe/London."),
        Param(
            "habit",
            "choice",
            required=False,
            default="morning",
            choices=("morning", "evening"),
            doc="When this plot is read.",
        ),
        Param("last_reset_at", "datetime", required=False, default=None, doc="When it was reset before."),
        Param(
            "latitude",
            "number",
            required=False,
            default=None,
            unit="°",
            low=-90,
            high=90,
            doc="North positive; with longitude sunrise is known.",
        ),
        Param(
            "longitude",
            "number",
            required=False,
            default=None,
            unit="°",
            low=-180,
            high=180,
            doc="East positive.",
        ),
    ),
    run=day_credit,
    example={
        "read_at": "2026-05-10T07:30:00+01:00",
        "time_zone": "Europe/London",
        "habit": "morning",
        "last_reset_at": "2026-05-09T07:40:00+01:00",
    },
    returns={
        "max_on, min_on": "local dates the maximum and the minimum are credited to",
        "accumulated": "a reset was missed; null when the last reset is unknown",
        "provisional": "the extreme may still be to come",
    },
    rules=(
        "Accumulated when the last reset was neither on the day of reading nor the day before.",
        "A morning reading before sunrise (without a place: before 06:00 standard time) is provisional.",
        "An evening reading before 15:00 standard time is provisional (common practice, no source).",
    ),
)
