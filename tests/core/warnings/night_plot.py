"""A small plot made of records on the wire, for tests of what happens in a night."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from underboard.core.warnings.digest import begin, take
from underboard.core.warnings.facts import Facts
from underboard.core.warnings.facts_of import facts_of

PLOT = "0198f000-0000-7000-8000-00000000aaaa"
NORWICH: Mapping[str, Any] = {
    "name": "Hill",
    "time_zone": "Europe/London",
    "latitude": 52.63,
    "longitude": 1.30,
}
#: Nights of the FAO book as printed with the R package frost: evening, dew point, minimum [°C].
FAO = tuple(
    zip(
        (3.2, 0.8, 0.2, 2.6, 4.4, 5.2, 2.7, 1.2, 4.5, 5.6),
        (-4.2, -8.8, -6.5, -6.2, -6.1, 2.6, -0.7, -1.7, -1.2, 0.1),
        (-3.1, -5.0, -6.3, -5.4, -4.0, -2.5, -4.8, -5.0, -4.4, -3.3),
        strict=True,
    )
)
Record = dict[str, Any]


def degc(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "degC"}


def record(type_name: str, key: str, /, **body: Any) -> Record:
    """A record as pull gives it; the same key is the same record."""
    id_ = str(uuid.uuid5(uuid.UUID(PLOT), f"{type_name}/{key}"))
    return {"id": id_, "type": type_name, "deleted": False, "body": body, "conflicts": []}


BED = record("place", "bed", kind="bed", label="Gate 1")
TUNNEL = record("place", "tunnel", kind="tunnel", label="Tunnel")
POST = record(
    "station", "post", kind="thermometer", label="Post", exposure="screen", place_id=BED["id"], walk_order=1
)
INSIDE = record("station", "in", kind="thermometer", label="In", exposure="under_cover", place_id=TUNNEL["id"],
                walk_order=2)  # fmt: skip
GRASS = record("station", "grass", kind="grass_minimum", label="Grass", place_id=BED["id"], walk_order=3)


def at(text: str, zone: str = "Europe/London") -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone))


def evening(when: datetime, air: float, dew: float | None = None, **more: Any) -> Record:
    said = {"observed_at": when.isoformat(), "air": degc(air), "sky": "clear", "wind": "calm", **more}
    return record(
        "evening", f"{when.isoformat()}/{air}", **said, **({} if dew is None else {"dew": degc(dew)})
    )


def reading(station: Record, when: datetime, **said: float) -> Record:
    body = {name: degc(value) for name, value in said.items()}
    key = f"{station['id']}/{when.isoformat()}"
    return record(
        "temperature", key, station_id=station["id"], observed_at=when.isoformat(), reset_done=True, **body
    )


def nights(
    first: datetime, rows: Iterable[tuple[float, float, float]], station: Record = POST
) -> list[Record]:
    """Evenings and the minima of the mornings after them, a night after the other, begun by a reset."""
    found = [reading(station, first.replace(hour=8), current=5.0)]
    for n, (air, dew, low) in enumerate(rows):
        when = first + timedelta(days=n)
        found.append(evening(when, air, dew))
        found.append(reading(station, (when + timedelta(days=1)).replace(hour=8), min=low))
    return found


def crop(kind: str, place: Record | None, planted: datetime, key: str = "") -> list[Record]:
    one = record("crop", key or kind, kind=kind, **({} if place is None else {"place_id": place["id"]}))
    event = record(
        "crop_event", key or kind, crop_id=one["id"], what="planted", observed_at=planted.isoformat()
    )
    return [one, event]


def facts_from(records: Iterable[Record], plot: Mapping[str, Any] = NORWICH) -> Facts:
    digest = begin(PLOT, plot)
    take(digest, list(records))
    return facts_of(digest)
