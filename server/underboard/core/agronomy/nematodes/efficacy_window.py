"""Is this the time to count whether nematodes worked?"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.contract import Calculation, Param

FIRST_DAY: Final = 7
LAST_DAY: Final = 42


@dataclass(frozen=True)
class EfficacyWindow:
    """Whether a count may be used to judge an application.

    Attributes
    ----------
    usable
        The count lies in the window.
    reason
        Why, or why not.
    days
        Days from application to count [d].
    """

    usable: bool
    reason: str
    days: int
    cautions: tuple[str, ...]


def efficacy_window(applied_on: dt.date, counted_on: dt.date) -> EfficacyWindow:
    """Hold the day of a count against the days in which nematodes work.

    Parameters
    ----------
    applied_on, counted_on
        Dates of the application and of the count.

    Returns
    -------
    EfficacyWindow

    Notes
    -----
    Usable from day 7 to day 42, both included; the day of application is day 0.

    References
    ----------
    UK suppliers' leaflets: feeding stops in about 5 days, death in 4 to 21 days, active for about six weeks.

    Examples
    --------
    >>> import datetime
    >>> efficacy_window(datetime.date(2026, 5, 1), datetime.date(2026, 5, 8)).usable
    True
    """
    days = (counted_on - applied_on).days
    cautions = ("Slugs die underground: finding no bodies is no sign that it failed.",)
    if days < 0:
        reason = "Counted before the application: a count of how things stood before, not of what it did."
    elif days < FIRST_DAY:
        reason = f"Day {days}: too early, slugs die over 4 to 21 days; count from day {FIRST_DAY}."
    elif days > LAST_DAY:
        reason = f"Day {days}: too late, the nematodes last about six weeks (day {LAST_DAY})."
    else:
        return EfficacyWindow(
            True, f"Day {days} lies between day {FIRST_DAY} and {LAST_DAY}.", days, cautions
        )
    return EfficacyWindow(False, reason, days, cautions)


CALCULATION = Calculation(
    name="efficacy-window",
    question="Is this the time to count whether nematodes worked?",
    source="UK suppliers' leaflets (death in 4 to 21 days, active about six weeks)",
    method="day 7 to 42 after the application",
    params=(
        Param("applied_on", "date", doc="Day of the application."),
        Param("counted_on", "date", doc="Day of the count."),
    ),
    run=efficacy_window,
    example={"applied_on": "2026-05-01", "counted_on": "2026-05-20"},
    returns={
        "usable": "the count lies in the window",
        "reason": "why, or why not",
        "days": "days from application to count",
    },
    rules=("Day 7 and day 42 count; a count before the application is not usable, and says why.",),
)
