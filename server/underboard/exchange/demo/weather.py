"""Invented weather: a seasonal mean, spells that last, clear and dull nights, one late frost."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from underboard.exchange.demo.chance import Chance, days_between, in_year
from underboard.exchange.demo.scenario import Scenario


@dataclass(frozen=True)
class Day:
    """One invented day. Temperatures in °C; the night is the one that ends on this day's morning."""

    on: date
    night_low_c: float
    high_c: float
    clear_night: bool
    surface: str
    soil_c: float
    tunnel_soil_c: float


class Weather:
    """Every day from the first season's March to today."""

    def __init__(self, scenario: Scenario, chance: Chance, years: tuple[int, int], today: date) -> None:
        self._days: dict[date, Day] = {}
        spell, wet, soil = 0.0, 0.0, 5.0
        frost = in_year(scenario.frost_on, years[1])
        surge_from, surge_to = (in_year(scenario.surge[key], years[1]) for key in ("from", "to"))
        for on in days_between(date(years[0], 2, 1), today):
            spell = 0.75 * spell + chance.gauss(0, 1.5)
            wet = 0.8 * wet + chance.gauss(0, 0.6)
            if surge_from <= on <= surge_to:
                wet = max(wet, 1.0)
            clear = chance.random() < (0.5 if wet < 0 else 0.2)
            if on == frost:
                spell, clear, wet = -3.5, True, -0.3
            mean = seasonal_mean_c(on) + spell
            swing = chance.uniform(8, 11) if clear else chance.uniform(3.5, 6)
            low = min(mean - swing / 2, -2.2) if on == frost else mean - swing / 2
            soil += 0.12 * (mean - soil)
            surface = "wet" if wet > 0.35 else "dry" if wet < -0.75 else "damp"
            self._days[on] = Day(on, low, mean + swing / 2, clear, surface, soil, soil + 2.5)

    def on(self, day: date) -> Day:
        return self._days[day]


def seasonal_mean_c(on: date) -> float:
    """Return the invented long-term mean air temperature of a day, °C."""
    return 9.3 - 5.8 * math.cos(2 * math.pi * (on.timetuple().tm_yday - 25) / 365.25)
