"""What is published about soil warmth and single crops: lowest soil temperatures and days to emerge."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

#: Days from sowing to emergence at a steady soil temperature [°C], moist soil. Only the rows a straight
#: line of rate on temperature can describe: below the optimum, and where the seed came up at all.
#: Harrington, J. F. & Minges, P. A. (1954), Vegetable seed germination, University of California; as copied
#: by Oregon State University (2013) and Knott's Handbook, which agree to within a day.
DAYS_TO_EMERGE: Final[Mapping[str, Mapping[float, int]]] = {
    "bean": {15: 16, 20: 11, 25: 8},
    "beet": {5: 42, 10: 17, 15: 10, 20: 6},
    "cabbage": {10: 15, 15: 9, 20: 6},
    "carrot": {5: 51, 10: 17, 15: 10, 20: 7},
    "lettuce": {5: 15, 10: 7, 15: 4, 20: 3},
    "onion": {5: 31, 10: 13, 15: 7, 20: 5},
    "parsnip": {5: 57, 10: 27, 15: 19, 20: 14},
    "pea": {5: 36, 10: 14, 15: 9},
    "pepper": {15: 25, 20: 13, 25: 8},
}

#: Lowest soil temperature for sowing [°F, as published] (Oregon State University extension, after
#: Harrington & Minges 1954). Potato 45 °F: quoted second hand.
LOWEST_SOIL_F: Final[Mapping[str, float]] = {
    "asparagus": 50,
    "bean": 60,
    "beet": 40,
    "cabbage": 40,
    "carrot": 40,
    "cucumber": 60,
    "lettuce": 35,
    "maize": 50,
    "onion": 35,
    "parsnip": 35,
    "pea": 40,
    "pepper": 60,
    "potato": 45,
    "radish": 40,
    "spinach": 35,
    "squash": 60,
    "tomato": 50,
}


def lowest_soil_c(crop: str) -> float:
    """The lowest soil temperature for sowing `crop` [°C], converted from the published whole °F."""
    return (LOWEST_SOIL_F[crop] - 32) * 5 / 9


def thermal_time(crop: str) -> tuple[float, float]:
    """Base temperature [°C] and thermal time to emergence [°C·d] of a crop.

    Notes
    -----
    The straight line ``1/days = (T - base)/theta`` fitted by least squares to the rows of `DAYS_TO_EMERGE`.

    Examples
    --------
    >>> base_c, theta_c_d = thermal_time("carrot")
    >>> round(base_c, 2), round(theta_c_d, 1)
    (2.73, 121.7)
    """
    rows = DAYS_TO_EMERGE[crop]
    mean_c = sum(rows) / len(rows)
    mean_rate = sum(1 / days for days in rows.values()) / len(rows)
    spread = sum((soil_c - mean_c) ** 2 for soil_c in rows)
    slope = sum((soil_c - mean_c) * (1 / days - mean_rate) for soil_c, days in rows.items()) / spread
    return mean_c - mean_rate / slope, 1 / slope


def worst_misfit(crop: str) -> float:
    """The largest relative error of the fitted line on its own rows (0.1 = a tenth of the days)."""
    base_c, theta = thermal_time(crop)
    return max(abs(theta / (soil_c - base_c) / days - 1) for soil_c, days in DAYS_TO_EMERGE[crop].items())
