"""Numbers, dates and lists as a grower would say them. Nothing here depends on the machine's language."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Final

_MONTHS: Final = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
#: From here on a tenth says nothing.
_WHOLE_FROM: Final = 10


def day_words(day: date) -> str:
    """Return a date as "4 August 2026"."""
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def month_words(month: int) -> str:
    """Return the name of a month [1 to 12]."""
    return _MONTHS[month - 1]


def amount(value: float) -> str:
    """Return a number with as many digits as a person can use: 0.04, 2.3, 41."""
    if value != 0 and abs(value) < 0.1:
        return f"{value:.2f}"
    return f"{value:.0f}" if abs(value) >= _WHOLE_FROM else f"{value:.1f}"


def span(low: float | None, high: float | None) -> str:
    """Return an interval: "0.8 to 3.1"; with no upper end "0.8 or more"."""
    if high is None:
        return f"{amount(low or 0.0)} or more"
    return f"{amount(low or 0.0)} to {amount(high)}"


def percent(share: float) -> str:
    """Return a chance [0 to 1] in whole per cent, never 0 or 100 when it is neither."""
    if 0 < share < 0.01:
        return "less than 1 %"
    if 0.99 < share < 1:
        return "more than 99 %"
    return f"{100 * share:.0f} %"


def times(n: int, one: str, many: str | None = None) -> str:
    """Return "1 board", "3 boards"."""
    return f"{n} {one if n == 1 else many or one + 's'}"


def listed(names: Sequence[str], most: int = 4) -> str:
    """Return "Wall 1, Wall 2 and Sea 3"; beyond `most` the rest is counted."""
    shown = list(names[:most])
    if len(names) > most:
        return f"{', '.join(shown)} and {len(names) - most} more"
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} and {shown[-1]}" if shown else ""


def sentences(*parts: str | None) -> str:
    """Join what there is into a paragraph."""
    return " ".join(part for part in parts if part)
