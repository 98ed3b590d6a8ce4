"""The dawn rounds: boards turned, thermometers read, evenings noted before cold nights."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

from underboard.exchange.demo.chance import Chance, days_between, degc, in_year, moment, stamp
from underboard.exchange.demo.ground import Board, Ground, Told, observed
from underboard.exchange.demo.scenario import Scenario
from underboard.exchange.demo.weather import Day, Weather


def morning_ops(
    scenario: Scenario, ground: Ground, weather: Weather, chance: Chance, years: tuple[int, int], today: date
) -> Iterator[Told]:
    """Yield every morning from the first March to yesterday, with its gaps."""
    mood = 0.0
    for on in days_between(date(years[0], 3, 1), today - timedelta(days=1)):
        day = weather.on(on)
        mood = 0.7 * mood + chance.gauss(0, 0.22)
        away = any(in_year(scenario.away["from"], y) <= on <= in_year(scenario.away["to"], y) for y in years)
        season = 3 <= on.month <= 10
        who = chance.choices((0, 1, 2), (6, 3, 2) if not away else (0, 1, 1))[0]
        walks = chance.random() < (0.15 if away else 0.42 if season else 0.12)
        # Nobody sleeps through the late frost, and yesterday's round is what today's is held against.
        walks = walks or on in (in_year(scenario.frost_on, years[1]), today - timedelta(days=1))
        if walks:
            yield from _round(scenario, ground, day, chance, years, who, activity(scenario, day, years, mood))
        if walks or (on.month in (4, 5, 10) and chance.random() < 0.6):
            yield from _readings(ground, day, chance, who)
        if on.month in (4, 5, 10, 11) and day.clear_night and day.night_low_c < 6:
            yield from _evening(ground, day, chance, who)


def activity(scenario: Scenario, day: Day, years: tuple[int, int], mood: float) -> float:
    """Return how many slugs an ordinary board shows on this morning, on average."""
    doy = day.on.timetuple().tm_yday
    season = 0.5 + 0.8 * math.exp(-(((doy - 130) / 32) ** 2)) + 1.0 * math.exp(-(((doy - 280) / 34) ** 2))
    warmth = min(1.2, max(0.08, (day.night_low_c + 0.5) / 8))
    moisture = {"dry": 0.3, "damp": 0.9, "wet": 1.3}[day.surface]
    surge = scenario.surge
    wave = in_year(surge["from"], years[1]) <= day.on <= in_year(surge["to"], years[1])
    return 1.9 * season * warmth * moisture * math.exp(mood) * (surge["times"] if wave else 1.0)


def treated_share(scenario: Scenario, place: str, on: date, years: tuple[int, int]) -> float:
    """Return the share of slugs left in a place by earlier treatments (1: untouched).

    An effect that sets in between day 5 and 10, holds to day 42 and is gone by day 63.
    """
    share = 1.0
    for treatment in scenario.treatments:
        age = (on - in_year(treatment["on"], years[treatment["season"]])).days
        if place in treatment["places"] and 5 <= age < 63:
            strength = min(1.0, (age - 5) / 5) * (1.0 if age <= 42 else (63 - age) / 21)
            share *= 1 - (1 - treatment["ratio"]) * strength
    return share


def _round(
    scenario: Scenario,
    ground: Ground,
    day: Day,
    chance: Chance,
    years: tuple[int, int],
    who: int,
    level: float,
) -> Iterator[Told]:
    start = moment(day.on, _sunrise_hour(day.on) + chance.uniform(0.1, 0.8), ground.zone)
    name = ground.names[who]
    valid = day.surface != "dry" and day.night_low_c > 1.0
    set_: dict[str, Any] = {
        "kind": "dawn",
        "started_at": stamp(start),
        "finished_at": stamp(start + timedelta(minutes=27)),
        "surface": day.surface,
        "night_low": degc(day.night_low_c),
        "disturbed": False,
        "valid": valid,
        **observed(start, name),
    }
    if not valid:
        set_["not_valid_reason"] = (
            "surface dry" if day.surface == "dry" else "night too cold for slugs to move"
        )
    walk = chance.put("round", start, set_)
    yield who, walk
    counts: dict[str, str] = {}
    for n, board in enumerate(ground.boards):
        op = _count(scenario, ground, board, day, chance, years, level, start + timedelta(minutes=n), name)
        if op is None:
            continue
        op["set"]["round_id"] = walk["id"]
        counts[board.station_id] = op["id"]
        yield who, op
    ground.last_rounds = [*ground.last_rounds[-3:], (walk["id"], start, counts)]


def _count(
    scenario: Scenario,
    ground: Ground,
    board: Board,
    day: Day,
    chance: Chance,
    years: tuple[int, int],
    level: float,
    at: datetime,
    name: str,
) -> dict[str, Any] | None:
    set_: dict[str, Any] = {"station_id": board.station_id, **observed(at, name)}
    luck = chance.random()
    if luck < 0.01:
        return None  # walked past it: no record at all
    if luck < 0.03:
        set_ |= {"state": "not_turned"}
    elif luck < 0.035:
        set_ |= {"state": "spoiled", "reason": "board kicked over"}
    else:
        share = treated_share(scenario, board.place, day.on, years)
        found = chance.poisson(level * ground.slugs[board.place] * board.spot * share)
        set_ |= (
            {"state": "counted", "count": found, "removed": True}
            if found
            else {"state": "none_found", "count": 0}
        )
        if day.on.month in (4, 5, 9, 10) and chance.random() < 0.05:
            set_["egg_clusters"] = 1 + chance.poisson(0.4)
    return chance.put("slug_count", at, set_)


def _readings(ground: Ground, day: Day, chance: Chance, who: int) -> Iterator[Told]:
    at = moment(day.on, _sunrise_hour(day.on) + 1.4, ground.zone)
    low, high = day.night_low_c, day.high_c
    clear = 1.0 if day.clear_night else 0.0
    air = {
        "screen": (low, high),
        "tunnel_air": (low + 1.4 - 0.8 * clear + chance.gauss(0, 0.5), high + 7 + chance.gauss(0, 2)),
        "frame_air": (low + 1.9 - 0.5 * clear + chance.gauss(0, 0.6), high + 5 + chance.gauss(0, 2)),
    }
    for key, (minimum, maximum) in air.items():
        now = minimum + 0.18 * (maximum - minimum)
        set_ = {
            "station_id": ground.thermometers[key],
            "current": degc(now),
            "max": degc(max(maximum, now)),
            "min": degc(minimum),
            "reset_done": chance.random() > 0.04,
            **observed(at, ground.names[who]),
        }
        yield who, chance.put("temperature", at, set_)
    for key, soil in (("soil_wall", day.soil_c), ("soil_tunnel", day.tunnel_soil_c)):
        set_ = {
            "station_id": ground.thermometers[key],
            "current": degc(soil),
            **observed(at, ground.names[who]),
        }
        yield who, chance.put("temperature", at, set_)


def _evening(ground: Ground, day: Day, chance: Chance, who: int) -> Iterator[Told]:
    """The evening before: a clear sky, and a fall of some six degrees to the minimum."""
    before = day.on - timedelta(days=1)
    at = moment(before, _sunset_hour(before) + 2, ground.zone)
    air = day.night_low_c + 5.2 + chance.gauss(0, 0.9)
    set_ = {
        "place_id": ground.places["gate1"],
        "air": degc(air),
        "wet": degc(air - 1.6 + chance.gauss(0, 0.3)),
        "sky": "clear",
        "wind": chance.choice(("calm", "light")),
        **observed(at, ground.names[who]),
    }
    yield who, chance.put("evening", at, set_)


def _sunrise_hour(on: date) -> float:
    """About when it gets light, local clock hours; good enough for an invented round."""
    return 6.6 + 1.6 * math.cos(2 * math.pi * (on.timetuple().tm_yday - 5) / 365.25) - 0.4


def _sunset_hour(on: date) -> float:
    return 18.3 - 2.3 * math.cos(2 * math.pi * (on.timetuple().tm_yday + 8) / 365.25)
