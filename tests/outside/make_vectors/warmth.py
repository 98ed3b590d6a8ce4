"""Vectors of heat sums and emergence."""

import csv
import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import linregress
from writing import Vectors

SCIPY = f"scipy {scipy.__version__}"
OUTSIDE = Path(__file__).parents[3] / "fixtures" / "outside"

#: Days to emerge at steady soil temperatures: Harrington & Minges 1954, Vegetable seed germination.
EMERGENCE = {
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


def _curve(shape: str, low: float, high: float, at: float) -> float:
    """Temperature at a fraction of the half day from minimum (0) to maximum (1)."""
    rise = at if shape == "triangle" else (1 - np.cos(np.pi * at)) / 2
    return float(low + (high - low) * rise)


def area(shape: str, low: float, high: float, base: float, upper: float | None = None) -> float:
    """Degree-days by numerical integration of the temperature curve, the definition itself."""

    def above(at: float) -> float:
        t = _curve(shape, low, high, at)
        return max(0.0, (t if upper is None else min(t, upper)) - base)

    corners = []
    for limit in (base, upper):
        if limit is not None and low < limit < high:
            corners.append(brentq(lambda at, c=limit: _curve(shape, low, high, at) - c, 0, 1, xtol=1e-15))
    edges = [0.0, *sorted(corners), 1.0]
    return float(sum(quad(above, a, b, epsabs=1e-13)[0] for a, b in pairwise(edges)))


def degree_days() -> Vectors:
    v = Vectors(
        "degree-days",
        source="Baskerville & Emin 1969, Ecology 50:514 (sine); Sevacherian 1977 (triangle); UC IPM (double)",
        computed_with=f"{SCIPY} (integrate.quad over the temperature curve); UC IPM printed values",
        notes={
            "published": "0.29 and 0.47 are printed by UC IPM and the TrenchR documentation.",
            "missing": "A missing day is never zero degrees.",
            "cut_off": "Horizontal upper cut-off.",
            "last_day": "The double methods need tomorrow's minimum; the last day uses its own twice.",
            "observed": "Seattle 2012, NOAA daily summaries (vega-datasets 0.9.0), whole year.",
        },
        tolerance={"rel": 1e-9, "abs": 1e-9},
    )
    days = [
        (7, 14, 12),
        (5, 20, 10),
        (2, 12, 7),
        (4, 14, 4.5),
        (8, 18, 7),
        (-1, 9, 5),
        (40, 70, 50),
        (-5, 3, 5),
    ]
    for shape in ("sine", "triangle"):
        for low, high, base in days:
            total = area(shape, low, high, base)
            v.answer(
                f"{shape}_{low}_{high}_{base}".replace("-", "m").replace(".", "_"),
                f"One day {low} to {high}, base {base}.",
                {"min_c": [low], "max_c": [high], "base_c": base, "method": shape},
                {"daily": [total], "total": total, "n_missing": 0},
            )
    for shape, printed in (("triangle", 0.29), ("sine", 0.47)):
        v.answer(
            f"printed_{shape}",
            "7 to 14, base 12.",
            {"min_c": [7], "max_c": [14], "base_c": 12, "method": shape},
            {"total": printed},
            flags=("published",),
            tolerance={"abs": 0.005, "reason": "printed to two decimals"},
        )
    v.answer("default_is_sine", "No method named.", {"min_c": [5], "max_c": [20], "base_c": 10},
             {"total": area("sine", 5, 20, 10)})  # fmt: skip
    v.answer(
        "average",
        "(5 + 20)/2 - 10, and a day whose mean is below the base.",
        {"min_c": [5, 2], "max_c": [20, 12], "base_c": 10, "method": "average"},
        {"daily": [2.5, 0], "total": 2.5},
    )
    v.answer(
        "floored",
        "The minimum counts as the base: (10 + 20)/2 - 10.",
        {"min_c": [5], "max_c": [20], "base_c": 10, "method": "floored"},
        {"daily": [5], "total": 5},
    )
    for shape in ("sine", "triangle"):
        v.answer(
            f"cut_off_{shape}",
            "8 to 34, base 10, cut off at 30.",
            {"min_c": [8], "max_c": [34], "base_c": 10, "upper_c": 30, "method": shape},
            {"total": area(shape, 8, 34, 10, 30)},
            flags=("cut_off",),
        )
        halves = [area(shape, 5, 20, 10), area(shape, 9, 20, 10)]
        last = area(shape, 9, 15, 10)
        v.answer(
            f"double_{shape}",
            "5 to 20, then tomorrow's minimum 9.",
            {"min_c": [5, 9], "max_c": [20, 15], "base_c": 10, "method": f"double_{shape}"},
            {"daily": [sum(halves) / 2, last], "total": sum(halves) / 2 + last},
            flags=("last_day",),
            says={"cautions": ["last day"]},
        )
    v.answer(
        "capped_average",
        "Temperatures are capped at 30 before averaging: (8 + 30)/2 - 10.",
        {"min_c": [8], "max_c": [34], "base_c": 10, "upper_c": 30, "method": "average"},
        {"total": 9},
        flags=("cut_off",),
    )
    one = area("sine", 5, 20, 10)
    gap: dict[str, Any] = {"min_c": [5, None, 5], "max_c": [20, 18, 20], "base_c": 10}
    v.answer(
        "missing_day",
        "The total is withheld.",
        gap,
        {"daily": [one, None, one], "total": None, "n_missing": 1},
        flags=("missing",),
        says={"why_not": ["not zero"]},
    )
    v.answer(
        "missing_allowed",
        "One missing day passed over on request: the total says that it is too low.",
        {**gap, "max_missing": 1},
        {"total": 2 * one, "n_missing": 1},
        flags=("missing",),
        says={"cautions": ["too low"], "why_not": []},
    )
    v.answer("no_days", "No days yet: nothing has built up.", {"min_c": [], "max_c": [], "base_c": 5},
             {"daily": [], "total": 0, "n_missing": 0})  # fmt: skip
    _seattle(v)
    v.refused(
        "swapped", "Minimum above maximum.", {"min_c": [5, 9], "max_c": [20, 8], "base_c": 5}, "/min_c/1"
    )
    v.refused("lengths", "Lists of two lengths.", {"min_c": [5, 6], "max_c": [20], "base_c": 5}, "/max_c")
    v.refused("upper_low", "Cut-off at the base.", {**gap, "upper_c": 10}, "/upper_c")
    v.refused("text", "Text in the list.", {"min_c": [5, "x"], "max_c": [20, 21], "base_c": 5}, "/min_c/1")
    v.refused("unknown_method", "No such method.", {**gap, "method": "cosine"}, "/method")
    v.refused("base_missing", "No base.", {"min_c": [5], "max_c": [20]}, "/base_c")
    return v


def _seattle(v: Vectors) -> None:
    with (OUTSIDE / "seattle_2012_daily.csv").open() as lines:
        rows = list(csv.DictReader(lines))
    reference = json.loads((OUTSIDE / "seattle_2012_daily.json").read_text())["reference"]
    low, high = [float(row["tmin_C"]) for row in rows], [float(row["tmax_C"]) for row in rows]
    for base, upper in ((5, None), (10, None), (10, 30), (5, 20)):
        total = reference[f"base{base}_upper{upper}"]["single_sine_total"]
        given: dict[str, Any] = {"min_c": low, "max_c": high, "base_c": base}
        v.answer(
            f"seattle_{base}_{upper or 'open'}",
            f"Seattle 2012, base {base}, upper {upper}.",
            given if upper is None else {**given, "upper_c": upper},
            {"total": total, "n_missing": 0},
            flags=("observed",),
            tolerance={"rel": 1e-9, "abs": 1e-6, "reason": "the reference is kept to six decimals"},
        )


def emergence() -> Vectors:
    v = Vectors(
        "emergence",
        source="Harrington & Minges 1954, Vegetable seed germination, University of California",
        computed_with=f"{SCIPY} (stats.linregress of 1/days on temperature)",
        notes={
            "line": "Base temperature and thermal time of the published days, by least squares.",
            "cold": "At or below the base nothing comes up: null, and why_not says so.",
            "daily": "Daily temperatures since sowing; the last five stand for the days to come.",
            "outside": "Outside the temperatures the line was fitted on.",
        },
    )
    for crop, rows in EMERGENCE.items():
        base, theta = _line(crop)
        days = theta / (12 - base)
        misfit = max(abs(theta / (t - base) / d - 1) for t, d in rows.items())
        v.answer(
            crop,
            "Steady 12 °C.",
            {"crop": crop, "soil_c": 12},
            {
                "days": days,
                "low_days": max(0, days * (1 - misfit) - 1),
                "high_days": days * (1 + misfit) + 1,
                "share_done": None,
                "base_c": base,
                "thermal_time_c_d": theta,
            },
            flags=("line",),
            says={"why_not": ["since sowing"]},
        )
    base, theta = _line("onion")
    soil = [6.0, 7.5, 2.0, 8.0, 9.0, 10.0, 9.5]
    gained = sum(max(0.0, t - base) for t in soil)
    ahead = sum(soil[-5:]) / 5
    v.answer(
        "onion_on_the_way",
        "Seven days of soil temperatures, one of them below the base.",
        {"crop": "onion", "soil_c": soil},
        {"days": 7 + (theta - gained) / (ahead - base), "share_done": gained / theta},
        flags=("daily",),
        says={"why_not": []},
    )
    base, theta = _line("lettuce")
    warm = [12.0] * 10
    v.answer(
        "lettuce_up_already",
        "Ten days at 12 °C: it came up on the way.",
        {"crop": "lettuce", "soil_c": warm},
        {"days": theta / (12 - base), "share_done": 1},
        flags=("daily",),
    )
    v.answer(
        "too_cold",
        "Carrot at 2 °C.",
        {"crop": "carrot", "soil_c": 2},
        {"days": None, "low_days": None, "high_days": None},
        flags=("cold", "outside"),
        says={"why_not": ["stays put"], "cautions": ["guess"]},
    )
    v.answer(
        "no_reading_yet",
        "Sown, not measured.",
        {"crop": "pea", "soil_c": []},
        {"days": None, "share_done": 0},
        flags=("daily",),
        says={"why_not": ["no soil temperature yet"]},
    )
    v.refused("unknown_crop", "Not in the table.", {"crop": "banana", "soil_c": 12}, "/crop")
    v.refused("boiling", "No soil is so hot.", {"crop": "pea", "soil_c": [12, 90]}, "/soil_c/1")
    v.refused("soil_text", "Text.", {"crop": "pea", "soil_c": "warm"}, "/soil_c")
    return v


def _line(crop: str) -> tuple[float, float]:
    rows = EMERGENCE[crop]
    fit = linregress(list(rows), [1 / d for d in rows.values()])
    return float(-fit.intercept / fit.slope), float(1 / fit.slope)


FILES = {"degree-days": degree_days, "emergence": emergence}
