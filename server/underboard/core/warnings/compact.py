"""From a record as it goes over the wire to the little that rules need of it, in canonical units.

An entry is a JSON object with short keys. Times stay text (RFC 3339); `day` is a local date of the plot.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from underboard.core.agronomy.calendar.day_credit import day_credit
from underboard.core.agronomy.frost.humidity import humidity
from underboard.core.errors import InputFault
from underboard.core.places import place_area
from underboard.core.records.kinds import read_instant
from underboard.core.units import offset_c, temperature_c

Entry = dict[str, Any]
Body = Mapping[str, Any]
NOON = 12

#: Fields of a warning that a person sees; another value of one of them makes an update.
SHOWN = (
    "window_start",
    "window_end",
    "place_ids",
    "crop_ids",
    "station_ids",
    "severity",
    "urgency",
    "certainty",
    "headline",
    "why",
    "advice",
    "caution",
    "numbers",
    "loud",
)


@dataclass(frozen=True)
class Spot:
    """Where and when a plot lives: what days and sunrise depend on."""

    time_zone: str
    latitude: float | None
    longitude: float | None
    habit: str

    @classmethod
    def of(cls, plot: Body) -> Spot:
        return cls(
            plot.get("time_zone") or "UTC",
            plot.get("latitude"),
            plot.get("longitude"),
            plot.get("reading_habit") or "morning",
        )

    def day(self, at: datetime) -> date:
        return at.astimezone(ZoneInfo(self.time_zone)).date()

    def night(self, at: datetime) -> date:
        """The local date on which the night of that moment began: before noon, the day before."""
        local = at.astimezone(ZoneInfo(self.time_zone))
        return local.date() - timedelta(days=local.hour < NOON)


def compact(record: Mapping[str, Any], spot: Spot) -> Entry | None:
    """Return the entry of a living record; None when it says nothing that a rule could use."""
    maker = _MAKERS.get(record["type"])
    return None if maker is None else maker(record["body"], record, spot)


def mark_of(body: Body) -> str:
    """Return a short hash of what people see of a warning; figures finer than a thousandth do not count."""
    shown = {name: _coarse(body.get(name)) for name in SHOWN if body.get(name) not in (None, [], ())}
    return hashlib.sha256(json.dumps(shown, sort_keys=True).encode()).hexdigest()[:16]


def _coarse(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, 3)
    if isinstance(value, Mapping):
        return {name: _coarse(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_coarse(inner) for inner in value]
    return value


def _evening(body: Body, _record: Body, spot: Spot) -> Entry | None:
    if not body.get("observed_at") or not body.get("air"):
        return None
    air = temperature_c(body["air"])
    at = read_instant(body["observed_at"])
    return {
        "at": body["observed_at"],
        "day": spot.night(at).isoformat(),
        "place": body.get("place_id"),
        "air": air,
        "dew": _dew(air, body),
        "sky": body.get("sky"),
        "wind": body.get("wind"),
    }


def _dew(air_c: float | None, body: Body) -> float | None:
    if air_c is None:
        return None
    try:
        if body.get("dew"):
            return temperature_c(body["dew"])
        if body.get("wet"):
            return humidity(air_c, wet_c=temperature_c(body["wet"]), psychrometer="natural").dew_c
        if body.get("humidity_percent"):
            return humidity(air_c, rh_percent=float(body["humidity_percent"])).dew_c
    except InputFault:
        pass  # a wet bulb above the air is kept in the record, and is no dew point
    return None


def _temperature(body: Body, _record: Body, spot: Spot) -> Entry | None:
    if not body.get("observed_at"):
        return None
    at = read_instant(body["observed_at"])
    credit = day_credit(at, spot.time_zone, spot.habit, None, spot.latitude, spot.longitude)
    entry = {
        "at": body["observed_at"],
        "day": spot.day(at).isoformat(),
        "s": body.get("station_id"),
        "now": temperature_c(body.get("current")),
        "max": temperature_c(body.get("max")),
        "min": temperature_c(body.get("min")),
        "reset": bool(body.get("reset_done")),
        "max_on": credit.max_on.isoformat(),
        "min_on": credit.min_on.isoformat(),
        "early": credit.provisional,
    }
    if body.get("humidity_percent") is not None:
        entry["rh"] = float(body["humidity_percent"])
    return entry


def _round(body: Body, _record: Body, spot: Spot) -> Entry | None:
    if body.get("kind") != "dawn" or not body.get("observed_at"):
        return None
    return {
        "at": body["observed_at"],
        "day": spot.day(read_instant(body["observed_at"])).isoformat(),
        "done": bool(body.get("finished_at")),
        "valid": body.get("valid") is not False,
        "why": body.get("not_valid_reason"),
        "surface": body.get("surface"),
        "disturbed": bool(body.get("disturbed")),
        "low": temperature_c(body.get("night_low")),
    }


def _count(body: Body, record: Body, spot: Spot) -> Entry | None:
    if not body.get("round_id") or not body.get("observed_at"):
        return None
    rivals = [c["set"] for c in record.get("conflicts") or () if "count" in c["set"] or "state" in c["set"]]
    entry = {
        "day": spot.day(read_instant(body["observed_at"])).isoformat(),
        "r": body["round_id"],
        "s": body.get("station_id"),
        "state": body.get("state"),
        "n": body.get("count"),
        "stands": body.get("stands") or None,
        "aside": body.get("set_aside") or None,
        "rivals": [{"count": rival.get("count")} for rival in rivals] or None,
    }
    return {name: value for name, value in entry.items() if value is not None}


def _catch(body: Body, _record: Body, spot: Spot) -> Entry | None:
    at = body.get("observed_at") or body.get("set_at")
    if not at:
        return None
    return {
        "day": spot.day(read_instant(at)).isoformat(),
        "s": body.get("station_id"),
        "set": body.get("set_at"),
        "at": body.get("observed_at"),
        "state": body.get("state"),
        "n": 0 if body.get("state") == "none_found" else body.get("wireworms"),
        "soil": temperature_c(body.get("soil")),
        "again": bool(body.get("rebaited")),
    }


def _sample(body: Body, _record: Body, spot: Spot) -> Entry | None:
    if not body.get("observed_at") or body.get("found") is None:
        return None
    return {
        "day": spot.day(read_instant(body["observed_at"])).isoformat(),
        "at": body["observed_at"],
        "place": body.get("place_id"),
        "cores": body.get("cores"),
        "d": body.get("core_diameter_m"),
        "n": body.get("found"),
        "how": body.get("method"),
    }


def _treatment(body: Body, _record: Body, spot: Spot) -> Entry | None:
    if not body.get("observed_at"):
        return None
    return {
        "day": spot.day(read_instant(body["observed_at"])).isoformat(),
        "at": body["observed_at"],
        "kind": body.get("kind"),
        "places": sorted(body.get("place_ids") or ()),
        "controls": sorted(body.get("control_place_ids") or ()),
        "product": body.get("product"),
        "moisture": body.get("moisture"),
        "soil": temperature_c(body.get("soil")),
    }


def _crop_event(body: Body, _record: Body, spot: Spot) -> Entry | None:
    if not body.get("observed_at") or not body.get("crop_id"):
        return None
    return {
        "on": spot.day(read_instant(body["observed_at"])).isoformat(),
        "crop": body["crop_id"],
        "what": body.get("what"),
        "stage": body.get("stage"),
        "place": body.get("place_id"),
    }


def _place(body: Body, _record: Body, _spot: Spot) -> Entry | None:
    area = place_area(
        area_m2=body.get("area_m2"),
        outline=body.get("outline"),
        length_m=body.get("length_m"),
        width_m=body.get("width_m"),
    )
    return {
        **_picked(body, "kind", "label", "broken_year", "neighbours", "archived"),
        "area_m2": area and area.area_m2,
    }


def _station(body: Body, _record: Body, _spot: Spot) -> Entry | None:
    names = ("kind", "place_id", "label", "walk_order", "exposure", "depth_m", "core_diameter_m")
    return {**_picked(body, *names, "set_on", "retired_on"), "offset": offset_c(body.get("offset"))}


def _warning(body: Body, _record: Body, _spot: Spot) -> Entry | None:
    names = ("rule", "key", "raised_at", "window_start", "window_end", "ended_at", "severity", "numbers")
    loud = body.get("loud") is not False
    return {**_picked(body, *names), "day": str(body["raised_at"])[:10], "mark": mark_of(body), "loud": loud}


def _reply(body: Body, _record: Body, _spot: Spot) -> Entry | None:
    at = str(body["observed_at"])
    return {**_picked(body, "warning_id", "seen", "acted", "outcome"), "at": at, "day": at[:10]}


def _picked(body: Body, *names: str) -> Entry:
    return {name: body[name] for name in names if body.get(name) is not None}


def _keeping(*names: str) -> Callable[[Body, Body, Spot], Entry | None]:
    return lambda body, _record, _spot: _picked(body, *names)


_MAKERS: Mapping[str, Callable[[Body, Body, Spot], Entry | None]] = {
    "evening": _evening,
    "temperature": _temperature,
    "round": _round,
    "slug_count": _count,
    "trap_catch": _catch,
    "soil_sample": _sample,
    "treatment": _treatment,
    "crop": _keeping("kind", "place_id", "variety", "started_on", "ended_on"),
    "crop_event": _crop_event,
    "place": _place,
    "station": _station,
    "watch": _keeping("rule", "on", "settings", "quiet_from", "quiet_to", "channels"),
    "warning": _warning,
    "warning_reply": _reply,
    "learned": _keeping("since"),
}
