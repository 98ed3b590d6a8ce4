"""The plot's calendar: when warnings hold and when traps are to be lifted (iCalendar, RFC 5545).

Calendars fetch it again and again and know an event by its UID, so a UID never changes and SEQUENCE goes up
with the record. `icalendar` writes it; it is imported when a calendar asks.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from typing import TYPE_CHECKING, Any, Final

from underboard.core.records.derived import TRAP_DAYS
from underboard.core.warnings.timing import zone_of

if TYPE_CHECKING:
    from icalendar import Event

Wire = Mapping[str, Any]
TYPES: Final = ("plot", "watch", "warning", "station", "trap_catch")
"""Types of the records that a calendar is made of."""
KEEPS: Final = timedelta(days=30)
REFRESH: Final = timedelta(hours=1)
LIFT_FROM, LIFT_UNTIL = (timedelta(days=days) for days in TRAP_DAYS)
# RFC 5545, section 3.1: no control characters besides tab and line break.
_CONTROL: Final = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")


def calendar_of(records: Iterable[Wire], now: datetime, base: str) -> bytes:
    """Write the calendar of a plot from its records in wire form.

    Parameters
    ----------
    records
        Living records of `TYPES`.
    base
        Address of the app, for the link in each event.
    """
    from icalendar import Calendar

    by_type: dict[str, list[Wire]] = {name: [] for name in TYPES}
    for record in records:
        if record["type"] in by_type:
            by_type[record["type"]].append(record)
    plot = by_type["plot"][0]["body"] if by_type["plot"] else {}
    name = _text(plot.get("name")) or "Underboard"
    calendar = Calendar()
    calendar.add("prodid", "-//Underboard//Warnings//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)  # RFC 7986
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", REFRESH, {"VALUE": "DURATION"})  # RFC 7986
    silent = {rule for rule, watch in watches_of(by_type["watch"]).items() if not _wants_calendar(watch)}
    for warning in by_type["warning"]:
        if warning["body"].get("rule") not in silent:
            event = _warning_event(warning, now, base)
            if event is not None:
                calendar.add_component(event)
    zone = zone_of(plot.get("time_zone"))
    for lift in lifts_due(by_type["station"], by_type["trap_catch"]):
        calendar.add_component(_trap_event(lift, zone, base))
    return bytes(calendar.to_ical())


def watches_of(records: Iterable[Wire]) -> dict[str, Wire]:
    """Return the body of each rule's watch, by rule; of two for one rule the smallest id counts."""
    found: dict[str, Wire] = {}
    for record in sorted(records, key=lambda one: str(one["id"])):
        found.setdefault(str(record["body"].get("rule")), record["body"])
    return found


def _wants_calendar(watch: Wire) -> bool:
    channels = watch.get("channels")
    return watch.get("on") is not False and (not isinstance(channels, list) or "calendar" in channels)


def _warning_event(record: Wire, now: datetime, base: str) -> Event | None:
    from icalendar import Event

    body = record["body"]
    start, end = _moment(body.get("window_start")), _moment(body.get("window_end"))
    changed = _moment(body.get("updated_at")) or _moment(body.get("raised_at")) or now
    if start is None or body.get("loud") is False or max(start, end or start) < now - KEEPS:
        return None
    ended = _moment(body.get("ended_at"))
    event = Event()
    event.add("uid", f"{record['id']}@underboard")
    event.add("sequence", int(record["rev"]))
    event.add("dtstamp", max(changed, ended or changed))
    event.add("last-modified", max(changed, ended or changed))
    event.add("dtstart", start)
    if end is not None and end > start:
        event.add("dtend", end)
    event.add("summary", _text(body.get("headline")))
    about = ("why", "advice", "caution")
    event.add("description", "\n\n".join(text for name in about if (text := _text(body.get(name)))))
    # What was called off before it began stays in the calendar, struck out, instead of vanishing.
    event.add("status", "CANCELLED" if ended is not None and ended <= start else "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    event.add("url", f"{base}/")
    return event


@dataclass(frozen=True, slots=True)
class Lift:
    """A trap in the ground. `key` and `rev` are those of the record that put it there."""

    key: str
    rev: int
    label: str
    set_at: datetime


def lifts_due(stations: Sequence[Wire], catches: Sequence[Wire]) -> Iterator[Lift]:
    """Give the traps that lie in the ground: set and not lifted, or lifted and baited anew."""
    by_station: dict[str, list[Wire]] = {}
    for record in catches:
        by_station.setdefault(str(record["body"].get("station_id")), []).append(record)
    for station in sorted(stations, key=lambda one: (one["body"].get("walk_order") or 0, one["id"])):
        body = station["body"]
        if body.get("kind") not in ("bait_trap", "beetle_trap") or body.get("retired_on"):
            continue
        lift = _in_ground(_text(body.get("label")), by_station.get(station["id"], []))
        if lift is not None:
            yield lift


def _in_ground(label: str, catches: Sequence[Wire]) -> Lift | None:
    settings: list[tuple[datetime, Lift | None]] = []
    for record in catches:
        body = record["body"]
        set_at, lifted_at = _moment(body.get("set_at")), _moment(body.get("observed_at"))
        if lifted_at is None and set_at is not None and body.get("state") is None:
            settings.append((set_at, Lift(f"trap-{record['id']}", record["rev"], label, set_at)))
        elif lifted_at is not None and body.get("state") != "not_turned":
            again = Lift(f"trap-{record['id']}-again", record["rev"], label, lifted_at)
            settings.append((lifted_at, again if body.get("rebaited") else None))
    return max(settings, key=lambda one: one[0])[1] if settings else None


def _trap_event(lift: Lift, zone: tzinfo, base: str) -> Event:
    from icalendar import Event

    day: date = lift.set_at.astimezone(zone).date()
    event = Event()
    event.add("uid", f"{lift.key}@underboard")
    event.add("sequence", lift.rev)
    event.add("dtstamp", lift.set_at)
    event.add("dtstart", day + LIFT_FROM)
    event.add("dtend", day + LIFT_UNTIL + timedelta(days=1))  # the end of a day event is not part of it
    event.add("summary", f"Lift trap {lift.label}".strip())
    event.add(
        "description",
        f"In the ground since {day.isoformat()}: its 10th to 14th day. Search the bait and the soil around it. "
        "Wear gloves, wash your hands.",
    )
    event.add("status", "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    event.add("url", f"{base}/")
    return event


def _text(value: object) -> str:
    return _CONTROL.sub(" ", value).strip() if isinstance(value, str) else ""


def _moment(value: object) -> datetime | None:
    """Read an instant; in UTC, so that no time zone has to be described in the calendar."""
    try:
        moment = datetime.fromisoformat(value) if isinstance(value, str) else None
        return moment.astimezone(UTC) if moment is not None and moment.tzinfo is not None else None
    except (ValueError, OverflowError):
        return None
