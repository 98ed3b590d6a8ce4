"""What a person wrote into one cell: a date in one of many orders, a number with a comma, "none", "x", 41 °F."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any, Final

from underboard.exchange.safe_cells import unguarded
from underboard.exchange.sheets.table import Cell

_NUMBER: Final = re.compile(r"[-+−]?\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?")
_QUANTITY: Final = re.compile(r"([-+−]?\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?)\s*(.*)", re.DOTALL)
_PARTS: Final = re.compile(r"(\d{1,4})\s*[-./ ]\s*(\d{1,2})\s*[-./ ]\s*(\d{2,4})\.?")
_NAMED: Final = re.compile(
    r"(?:[^\W\d]{2,9}\.?,?\s+)?(\d{1,2})(?:st|nd|rd|th|\.)?\s+([^\W\d]{3,9})\.?,?\s+(\d{4})"
)
_TIME: Final = re.compile(r"(\d{1,2})[:.h](\d{2})(?:[:.](\d{2})(?:[.,]\d+)?)?\s*(am|pm|uhr)?", re.IGNORECASE)
_MONTHS: Final = {
    name: number
    for number, names in enumerate(
        (
            "jan",
            "feb",
            "mar mär mrz",
            "apr",
            "may mai",
            "jun",
            "jul",
            "aug",
            "sep",
            "oct okt",
            "nov",
            "dec dez",
        ),
        1,
    )
    for name in names.split()
}
UNITS: Final[Mapping[str, str]] = {
    "c": "degC", "°c": "degC", "degc": "degC", "celsius": "degC", "grad": "degC", "f": "degF", "°f": "degF",
    "degf": "degF", "fahrenheit": "degF",
}  # fmt: skip
NONE_FOUND: Final = frozenset({"none", "none found", "none_found", "nil", "no slugs", "keine", "nichts", "0"})
NOT_TURNED: Final = frozenset(
    {
        "x",
        "not turned",
        "not_turned",
        "could not turn",
        "missed",
        "not looked",
        "nicht gewendet",
        "not lifted",
    }
)
SPOILED: Final = frozenset({"s", "spoiled", "spoilt", "disturbed", "verdorben", "gestört"})


class Unreadable(ValueError):
    """A cell that can't be taken as what its column holds; says what would be right."""


def text_of(cell: Cell) -> str:
    """Return what a cell says as text, without the guard against formulas."""
    if cell is None:
        return ""
    if isinstance(cell, float):
        return f"{cell:.15g}"
    if isinstance(cell, datetime):
        return cell.isoformat(timespec="seconds")
    return unguarded(cell) if isinstance(cell, str) else cell.isoformat()


def is_blank(cell: Cell) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def number_of(cell: Cell) -> float:
    """Return the number in a cell; a comma may stand for the point."""
    if isinstance(cell, float):
        return cell
    text = text_of(cell).strip()
    if not _NUMBER.fullmatch(text):
        raise Unreadable(f'"{text[:40]}" is no number.')
    found = float(text.replace("−", "-").replace(",", "."))
    if not math.isfinite(found):
        raise Unreadable(f'"{text[:40]}" is no number.')
    return found


def whole_of(cell: Cell) -> int:
    """Return the whole number in a cell."""
    found = number_of(cell)
    if found != int(found):
        raise Unreadable(f"{found:g} is no whole number.")
    return int(found)


def tidy(number: float) -> float | int:
    """4.0 was written as 4: keep it so, as the app does."""
    return int(number) if number == int(number) and abs(number) < 1e15 else number


def quantity_of(cell: Cell, unit: str) -> dict[str, Any]:
    """Return a number with its unit; a unit in the cell wins over that of the column."""
    if isinstance(cell, float):
        return {"value": tidy(cell), "unit": unit}
    text = text_of(cell).strip()
    found = _QUANTITY.fullmatch(text)
    if found is None:
        raise Unreadable(f'"{text[:40]}" is no number with a unit.')
    said = found[2].strip()
    return {
        "value": _as_written(found[1]),
        "unit": UNITS.get(said.lower().replace(" ", ""), said) if said else unit,
    }


def _as_written(text: str) -> float | int:
    number = float(text.replace("−", "-").replace(",", "."))
    # 41.0 was typed with its point: it stays a number with one.
    return int(number) if re.fullmatch(r"[-+−]?\d{1,15}", text) else number


def yes_no_of(cell: Cell) -> bool:
    text = text_of(cell).strip().lower()
    if text in ("yes", "y", "true", "ja", "j", "1"):
        return True
    if text in ("no", "n", "false", "nein", "0"):
        return False
    raise Unreadable(f'"{text[:40]}" is neither yes nor no.')


def date_of(cell: Cell, *, day_first: bool) -> date:
    """Return the date in a cell. `day_first`: 3/5/2026 is the third of May."""
    if isinstance(cell, datetime):
        return cell.date()
    if isinstance(cell, date):
        return cell
    text = text_of(cell).strip()
    try:
        if found := _PARTS.fullmatch(text):
            return _from_parts(found[1], found[2], found[3], day_first)
        if (found := _NAMED.fullmatch(text)) and (month := _MONTHS.get(found[2][:3].lower())):
            return date(int(found[3]), month, int(found[1]))
    except ValueError:
        pass
    raise Unreadable(f'"{text[:40]}" is no date: write it like 2026-05-03.')


def _from_parts(first: str, second: str, third: str, day_first: bool) -> date:
    if len(first) == 4:
        return date(int(first), int(second), int(third))
    year = int(third) + (2000 if len(third) == 2 else 0)
    day, month = (int(first), int(second)) if day_first else (int(second), int(first))
    return date(year, month, day)


def parts_of(cell: Cell) -> tuple[int, int] | None:
    """Return the first two numbers of a date whose order is open; None where it is not."""
    found = _PARTS.match(text_of(cell).strip()) if isinstance(cell, str) else None
    return None if found is None or len(found[1]) == 4 else (int(found[1]), int(found[2]))


def time_of(cell: Cell) -> time:
    """Return the time of day in a cell."""
    if isinstance(cell, datetime):
        return cell.time().replace(microsecond=0)
    if isinstance(cell, time):
        return cell
    text = text_of(cell).strip()
    found = _TIME.fullmatch(text)
    try:
        if found:
            hour, half = int(found[1]), (found[4] or "").lower()
            if half == "pm" and hour < 12:
                hour += 12
            elif half == "am" and hour == 12:
                hour = 0
            return time(hour, int(found[2]), int(found[3] or 0))
    except ValueError:
        pass
    raise Unreadable(f'"{text[:40]}" is no time of day: write it like 05:40.')


def moment_parts(cell: Cell, *, day_first: bool) -> datetime | tuple[date, time | None]:
    """Return the moment in a cell: aware if it says its offset, else its date and time on the plot's clock."""
    if isinstance(cell, datetime):
        return cell if cell.tzinfo else (cell.date(), cell.time().replace(microsecond=0))
    text = text_of(cell).strip()
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        pass
    else:
        if found.tzinfo is not None:
            return found
        return found.date(), (found.time() if len(text) > 10 else None)
    day, _, rest = text.replace(", ", " ").replace("T", " ").rpartition(" ")
    if day and _TIME.fullmatch(rest.strip()):
        return date_of(day, day_first=day_first), time_of(rest)
    return date_of(cell, day_first=day_first), None
