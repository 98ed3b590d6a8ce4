"""Bait traps for wireworms: set, left for ten to fourteen days, lifted, some not valid."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from underboard.exchange.demo.chance import Chance, degc, moment, stamp
from underboard.exchange.demo.ground import Ground, Told, observed
from underboard.exchange.demo.scenario import Scenario
from underboard.exchange.demo.weather import Weather

# (month, day, days in the ground): the first spring set is early on purpose, so that cold soil spoils it,
# and one set lies for too long.
SETS = ((3, 6, 12), (4, 2, 12), (4, 15, 11), (9, 20, 12), (10, 3, 19))


def trap_ops(
    scenario: Scenario, ground: Ground, weather: Weather, chance: Chance, years: tuple[int, int], today: date
) -> Iterator[Told]:
    """Yield each set of traps; when the last one still lies in the ground, it is left open."""
    for year in years:
        for month, day, days in SETS:
            set_on = date(year, month, day)
            lifted_on = set_on + timedelta(days=days)
            if lifted_on < today:
                yield from _lift(ground, weather, chance, set_on, lifted_on)
    set_on = today - timedelta(days=11)
    for station_id, _ in ground.traps[:4]:
        at = moment(set_on, 8.5, ground.zone)
        yield (
            0,
            chance.put(
                "trap_catch", at, {"station_id": station_id, "set_at": stamp(at), "observer": ground.names[0]}
            ),
        )


def _lift(ground: Ground, weather: Weather, chance: Chance, set_on: date, lifted_on: date) -> Iterator[Told]:
    who = chance.choice((0, 0, 1))
    soil = weather.on(lifted_on).soil_c
    for n, (station_id, place) in enumerate(ground.traps):
        set_at = moment(set_on, 8.5, ground.zone)
        at = moment(lifted_on, 8.5 + n * 0.1, ground.zone)
        appetite = min(1.0, max(0.1, (soil - 4) / 8))
        mean = ground.wireworm[place] * appetite * chance.gammavariate(1.2, 1 / 1.2)
        found = chance.poisson(mean)
        set_ = {
            "station_id": station_id,
            "set_at": stamp(set_at),
            "state": "counted" if found else "none_found",
            "wireworms": found,
            "millipedes": chance.poisson(0.5),
            "leatherjackets": chance.poisson(0.2),
            "centipedes": chance.poisson(0.15),
            "rebaited": True,
            "soil": degc(soil),
            **observed(at, ground.names[who]),
        }
        if chance.random() < 0.03:
            set_ |= {"state": "spoiled", "reason": "dug out by a bird"}
            del set_["wireworms"]
        yield who, chance.put("trap_catch", at, set_)
