"""Seeded chance, and the identifiers and operations made with it."""

from __future__ import annotations

import math
import random
from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo


class Chance(random.Random):
    """A random stream that knows the draws a plot needs; ids have a stream of their own.

    Keeping ids apart means that another plot id changes the ids and nothing of the story.
    """

    def __init__(self, seed: int, plot_id: str) -> None:
        super().__init__(seed)
        self._ids = random.Random(f"{seed}/{plot_id}")
        self._serial = 0

    def poisson(self, mean: float) -> int:
        """Draw a Poisson count (Knuth's product method; the means here are small)."""
        limit, product, count = math.exp(-mean), self.random(), 0
        while product > limit:
            product *= self.random()
            count += 1
        return count

    def new_id(self, at: datetime) -> str:
        """Return a UUIDv7 (RFC 9562) with the time `at`; a serial keeps those of one millisecond apart."""
        self._serial += 1
        millis = int(at.timestamp() * 1000) & ((1 << 48) - 1)
        value = (millis << 80) | (0x7 << 76) | ((self._serial & 0xFFF) << 64)
        value |= (0b10 << 62) | self._ids.getrandbits(62)
        text = f"{value:032x}"
        return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"

    def put(
        self,
        type_name: str,
        at: datetime,
        set_: dict[str, Any],
        record_id: str | None = None,
        base_rev: int = 0,
    ) -> dict[str, Any]:
        """Return one `put` operation; a record id is made when none is given."""
        return {
            "op_id": self.new_id(at),
            "kind": "put",
            "type": type_name,
            "id": record_id or self.new_id(at),
            "base_rev": base_rev,
            "after": [],
            "set": set_,
        }


def moment(day: date, hour: float, zone: str) -> datetime:
    """Return the local time `hour` of `day` in the zone, with its offset."""
    seconds = round(hour * 3600)
    return datetime.combine(day, time(), ZoneInfo(zone)) + timedelta(seconds=seconds)


def stamp(at: datetime) -> str:
    return at.isoformat(timespec="seconds")


def degc(value: float) -> dict[str, Any]:
    return {"value": round(value, 1), "unit": "degC"}


def in_year(month_day: str, year: int) -> date:
    """Return the date of an "MM-DD" text in a year."""
    month, day = month_day.split("-")
    return date(year, int(month), int(day))


def days_between(first: date, last: date) -> list[date]:
    """Return every day from `first` to `last`, both included."""
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]
