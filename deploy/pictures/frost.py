"""Frost: the fit, tonight, the night's course, the last day, the coldest year."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.figure import Figure
from scipy.stats import gumbel_r, norm
from scipy.stats import t as student

from deploy.pictures.frame import BLUE, GREY, INK, ORANGE, Draw, Given, label
from underboard.core.agronomy import evaluate


def frost_fit(figure: Figure, given: Given, found: Given) -> str:
    """First step: minimum on evening temperature. Second: what is left over on the dew point."""
    first, second = figure.subplots(1, 2)
    evening, dew, lowest = (
        np.array([night[key] for night in given["nights"]]) for key in ("evening_c", "dew_c", "min_c")
    )
    part = evaluate("frost-fit", {**given, "method": "evening_only"})
    across = np.array([evening.min(), evening.max()])
    first.plot(evening, lowest, "o", color=INK, markersize=4)
    first.plot(across, part["intercept"] + part["evening_coef"] * across, color=BLUE)
    first.set_title(f"1: {part['intercept']:.2f} + {part['evening_coef']:.3f} · evening")
    label(first, "two hours after sunset (°C)", "lowest of the night (°C)")
    left = lowest - part["intercept"] - part["evening_coef"] * evening
    across = np.array([dew.min(), dew.max()])
    second.plot(dew, left, "o", color=INK, markersize=4)
    second.plot(across, found["intercept"] - part["intercept"] + found["dew_coef"] * across, color=BLUE)
    second.set_title(f"2: {found['intercept'] - part['intercept']:+.2f} {found['dew_coef']:+.3f} · dew point")
    label(second, "dew point (°C)", "left over by the first line (°C)")
    return (
        f"{found['n']} clear nights in two steps: the evening temperature explains most, the dew point next to nothing "
        f"here; a night left out is missed by {found['loo_rmse']:.1f} °C."
    )


def frost_tonight(figure: Figure, given: Given, found: Given) -> str:
    """The predictive law of tonight's minimum, with the critical temperatures."""
    plot = figure.subplots()
    law = student(found["df"], loc=found["min_c"], scale=found["sd_c"])
    across = np.linspace(
        found["min_c"] - 4.5 * found["sd_c"], max(0.5, found["min_c"] + 5 * found["sd_c"]), 200
    )
    plot.plot(across, law.pdf(across), color=BLUE)
    inside = (across >= found["low_c"]) & (across <= found["high_c"])
    plot.fill_between(
        across[inside], law.pdf(across[inside]), color=BLUE, alpha=0.2, label="95 % of such nights"
    )
    for chance, style in zip(found["chances"], ("--", ":"), strict=True):
        words = f"{chance['critical_c']:g} °C or colder: {chance['p']:.1%}"
        plot.axvline(chance["critical_c"], color=ORANGE, linestyle=style, label=words)
    plot.set(ylim=(0, None), yticks=[])
    label(plot, "lowest temperature tonight (°C)", "how likely")
    plot.legend(loc="upper left")
    return (
        f"Expected {found['min_c']:.1f} °C, between {found['low_c']:.1f} and {found['high_c']:.1f} °C on 95 of 100 "
        "such nights."
    )


def night_curve(figure: Figure, given: Given, found: Given) -> str:
    """The fall from two hours after sunset to the minimum at sunrise."""
    plot = figure.subplots()
    hours = [float(hour) for hour in np.linspace(2, given["night_hours"], 100)]
    points = evaluate("night-curve", {**given, "hours": hours})["points"]
    plot.plot(hours, [point["air_c"] for point in points], color=BLUE, label="air on a clear, calm night")
    plot.plot(
        [p["hour"] for p in found["points"]],
        [p["air_c"] for p in found["points"]],
        "o",
        color=INK,
        label="hours asked for",
    )
    crossed = found["crosses_at_hour"]
    plot.axhline(0, color=GREY, linewidth=1)
    plot.axvline(crossed, color=ORANGE, linestyle=":", label=f"0 °C at {crossed:.1f} hours")
    plot.set(xlim=(0, given["night_hours"]))
    label(plot, "hours after sunset", "air (°C)")
    plot.legend()
    return (
        f"From {given['evening_c']} °C two hours after sunset the air is down to 0 °C after {crossed:.1f} hours and "
        f"ends at {given['min_c']} °C."
    )


def last_frost(figure: Figure, given: Given, found: Given) -> str:
    """The share of years whose last frost came later, by day: the years and the normal curve."""
    plot = figure.subplots()
    days = np.sort(np.array(given["days"], float))
    plot.step(
        days, 1 - np.arange(1, len(days) + 1) / len(days), where="post", color=INK, label=f"{len(days)} years"
    )
    across = np.linspace(days.min() - 10, days.max() + 15, 200)
    plot.plot(across, norm.sf(across, found["mean"], found["sd"]), color=BLUE, label="normal curve")
    plot.axhline(1 - given["share"], color=GREY, linestyle=":", linewidth=1)
    words = f"past in {given['share']:.0%} of years by day {found['normal_day']:.0f}"
    plot.axvline(found["normal_day"], color=ORANGE, linestyle="--", label=words)
    plot.set(ylim=(0, 1))
    label(plot, "day of the year (day 120: 30 April)", "share of years with a later frost")
    plot.legend()
    return (
        f"The last frost is past by day {found['normal_day']:.0f} in nine years of ten; {len(days)} years say so "
        "roughly."
    )


def lowest_return(figure: Figure, given: Given, found: Given) -> str:
    """Coldest night of each year against how rarely that comes, with the Gumbel line."""
    plot = figure.subplots()
    coldest = np.sort(np.array(given["minima_c"], float))
    n = len(coldest)
    # Plotting positions after Gringorten 1963, made for this law.
    years = (n + 0.12) / (np.arange(1, n + 1) - 0.44)
    plot.plot(years, coldest, "o", color=INK, label="coldest night of a year")
    across = np.geomspace(1.05, 40, 100)
    plot.plot(
        across,
        -gumbel_r.isf(1 / across, found["location"], found["scale"]),
        color=BLUE,
        label="Gumbel law by moments",
    )
    plot.plot(given["years"], found["levels_c"], "s", color=ORANGE, label="levels asked for")
    plot.set_xscale("log", base=math.e)
    plot.set_xticks([2, 5, 10, 20, 40], ["2", "5", "10", "20", "40"])
    plot.minorticks_off()
    label(plot, "comes once in so many years", "lowest of the year (°C)")
    plot.legend()
    ten = found["levels_c"][given["years"].index(10)]
    return f"A year in ten falls to {ten:.1f} °C or lower, as far as {n} years can say."


PICTURES: dict[str, Draw] = {
    "frost-fit": frost_fit, "frost-tonight": frost_tonight, "night-curve": night_curve, "last-frost": last_frost,
    "lowest-return": lowest_return,
}  # fmt: skip
