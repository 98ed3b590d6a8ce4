"""When will the soil have warmed up, if it goes on as it did?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from underboard.core.agronomy.surge.trend import trend
from underboard.core.warnings.plot_time import DAY
from underboard.core.warnings.soil_seen import SoilDays
from underboard.core.warnings.wording import day_words

#: The slope is taken from the readings of so many days, at least so many of them.
LOOKED_BACK, FEWEST = 21, 6
#: Nothing is foretold further ahead than this [d].
AHEAD: Final = 60


@dataclass(frozen=True)
class WarmOn:
    """When a mean is reached: about, soonest, latest; None where the trend does not say."""

    about: date | None
    soonest: date | None
    latest: date | None
    slope_c_per_day: float | None

    def numbers(self) -> dict[str, Any]:
        """Return it as JSON."""
        names = (("about_on", self.about), ("soonest_on", self.soonest), ("latest_on", self.latest))
        days = {name: None if day is None else day.isoformat() for name, day in names}
        return {**days, "slope_c_per_day": self.slope_c_per_day}


def warm_on(soil: SoilDays, wanted_c: float, mean_c: float) -> WarmOn:
    """Carry the straight trend of the last readings on to a temperature.

    Notes
    -----
    Theil-Sen slope of the readings of the last 21 days with its 95 % limits. Days resemble the days before, so
    the limits are narrower than the truth.
    """
    days = [day for day in sorted(soil.read) if (soil.last - day).days <= LOOKED_BACK]
    if len(days) < FEWEST:
        return WarmOn(None, None, None, None)
    found = trend([soil.by_day[day] for day in days], times=[float(day.toordinal()) for day in days])
    return WarmOn(
        about=_reached(soil.last, wanted_c - mean_c, found.slope),
        soonest=_reached(soil.last, wanted_c - mean_c, found.slope_high),
        latest=_reached(soil.last, wanted_c - mean_c, found.slope_low),
        slope_c_per_day=found.slope,
    )


def reached_words(when: WarmOn) -> str:
    """Return it as a sentence."""
    if when.slope_c_per_day is None:
        return "There are too few readings to say when it will be."
    if when.about is None:
        return "By the trend of the last three weeks it will not be reached soon."
    soonest = f"{day_words(when.soonest)} at the soonest" if when.soonest else "soonest not known"
    latest = f"{day_words(when.latest)} at the latest" if when.latest else "how late is open"
    return f"By the trend of the last three weeks about {day_words(when.about)} ({soonest}, {latest})."


def _reached(last: date, missing_c: float, slope: float | None) -> date | None:
    if slope is None or slope <= 0 or missing_c / slope > AHEAD:
        return None
    return last + max(math.ceil(missing_c / slope), 0) * DAY
