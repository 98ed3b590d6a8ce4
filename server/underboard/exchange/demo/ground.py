"""The holding itself: plot, people, places and stations."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from underboard.exchange.demo.chance import Chance, moment, stamp
from underboard.exchange.demo.scenario import Scenario

Told = tuple[int, dict[str, Any]]
"""Which member's phone said it, and the operation."""


@dataclass(frozen=True)
class Board:
    """A slug board: where it lies, and how good a spot it is (1 is an ordinary one)."""

    station_id: str
    place: str
    label: str
    spot: float


@dataclass
class Ground:
    """What was laid out, with the ids that later records point at."""

    zone: str
    names: list[str]
    ops: list[Told] = field(default_factory=list)
    places: dict[str, str] = field(default_factory=dict)
    slugs: dict[str, float] = field(default_factory=dict)
    wireworm: dict[str, float] = field(default_factory=dict)
    boards: list[Board] = field(default_factory=list)
    traps: list[tuple[str, str]] = field(default_factory=list)
    thermometers: dict[str, str] = field(default_factory=dict)
    last_rounds: list[tuple[str, datetime, dict[str, str]]] = field(default_factory=list)


def lay_out(scenario: Scenario, chance: Chance, plot_id: str, years: tuple[int, int]) -> Ground:
    """Return the ground, with the operations that create it."""
    zone = scenario.plot["time_zone"]
    at = moment(date(years[0], 2, 20), 10, zone)
    ground = Ground(zone, [member["name"] for member in scenario.members])
    ground.ops.append((0, chance.put("plot", at, {**scenario.plot, "grass_out_year": years[0] - 6}, plot_id)))
    for member in scenario.members:
        ground.ops.append((0, chance.put("member", at, {"name": member["name"], "role": member["role"]})))
    for place in scenario.places:
        _add_place(ground, chance, at, place, years[0])
    _add_stations(ground, scenario, chance, at)
    return ground


def _add_place(ground: Ground, chance: Chance, at: datetime, place: dict[str, Any], year: int) -> None:
    x, y, across, along = _rectangle(place)
    right, bottom = round(x + across, 2), round(y + along, 2)
    set_: dict[str, Any] = {
        "kind": place["kind"],
        "label": place["label"],
        "length_m": place["length_m"],
        "width_m": place["width_m"],
        "outline": [[x, y], [right, y], [right, bottom], [x, bottom]],
        "archived": False,
    }
    if place["broken_years_ago"] is not None:
        set_["broken_year"] = year + 1 - place["broken_years_ago"]
    if place.get("neighbours"):
        set_["neighbours"] = place["neighbours"]
    op = chance.put("place", at, set_)
    ground.ops.append((0, op))
    ground.places[place["key"]] = op["id"]
    ground.slugs[place["key"]] = place["slugs"]
    ground.wireworm[place["key"]] = place["wireworm"]


def _rectangle(place: dict[str, Any]) -> tuple[float, float, float, float]:
    """Return left, top, width and height on the sketch [m]; a place lies down the page unless it says across."""
    sides = (place["width_m"], place["length_m"])
    across, along = sides[::-1] if place.get("lies") == "across" else sides
    return place["x"], place["y"], across, along


def _spot(place: dict[str, Any], share: float, aside: float) -> dict[str, float]:
    """Return the spot at `share` [0 to 1] of the long side and `aside` [0 to 1] of the short one."""
    x, y, across, along = _rectangle(place)
    right, down = (share, aside) if across > along else (aside, share)
    return {"x_m": round(x + right * across, 1), "y_m": round(y + down * along, 1)}


def _add_stations(ground: Ground, scenario: Scenario, chance: Chance, at: datetime) -> None:
    order = 0
    set_on = at.date().isoformat()
    for place in scenario.places:
        for n in range(place["boards"]):
            order += 1
            label = f"Board {order}"
            set_ = {
                "kind": "slug_board",
                "place_id": ground.places[place["key"]],
                "label": label,
                **_spot(place, (n + 0.5) / place["boards"], 0.7 if n % 2 else 0.3),
                "walk_order": order,
                "size_m2": 0.12,
                "material": "scaffold plank",
                "set_on": set_on,
            }
            op = chance.put("station", at, set_)
            ground.ops.append((0, op))
            ground.boards.append(Board(op["id"], place["key"], label, chance.gammavariate(2.0, 0.5)))
    by_key = {place["key"]: place for place in scenario.places}
    for number, key in enumerate(scenario.traps, start=1):
        before, inside = scenario.traps[: number - 1].count(key), scenario.traps.count(key)
        set_ = {
            "kind": "bait_trap",
            "place_id": ground.places[key],
            "label": f"Trap {number}",
            **_spot(by_key[key], (before + 0.8) / (inside + 1), 0.5),
            "walk_order": number,
            "bait": "soaked wheat and maize",
            "set_on": set_on,
        }
        op = chance.put("station", at, set_)
        ground.ops.append((0, op))
        ground.traps.append((op["id"], key))
    for number, meter in enumerate(scenario.thermometers, start=1):
        set_ = {
            "kind": "thermometer",
            "place_id": ground.places[meter["place"]],
            "label": meter["label"],
            **_spot(by_key[meter["place"]], 0.5, 0.1 if meter["exposure"] == "soil" else 0.9),
            "walk_order": number,
            "exposure": meter["exposure"],
            "set_on": set_on,
        }
        if "depth_m" in meter:
            set_["depth_m"] = meter["depth_m"]
        op = chance.put("station", at, set_)
        ground.ops.append((0, op))
        ground.thermometers[meter["key"]] = op["id"]


def observed(at: datetime, observer: str) -> dict[str, Any]:
    return {"observed_at": stamp(at), "observer": observer}
