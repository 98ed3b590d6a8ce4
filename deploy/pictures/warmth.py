"""Warmth: what counts of a day, and how long seed takes."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from deploy.pictures.frame import BLUE, GREY, INK, ORANGE, Draw, Given, label
from underboard.core.agronomy import evaluate
from underboard.core.agronomy.warmth.crops import DAYS_TO_EMERGE


def degree_days(figure: Figure, given: Given, found: Given) -> str:
    """Each day as a sine wave; what lies above the base counts."""
    plot = figure.subplots()
    base = given["base_c"]
    for day, (low, high, worth) in enumerate(
        zip(given["min_c"], given["max_c"], found["daily"], strict=True)
    ):
        time = np.linspace(day, day + 1, 120)
        air = (low + high) / 2 - (high - low) / 2 * np.cos(2 * np.pi * time)
        plot.plot(time, air, color=INK)
        plot.fill_between(time, base, air, where=list(air > base), interpolate=True, color=ORANGE, alpha=0.35)
        plot.text(day + 0.5, base + 0.6, f"{worth:.1f} °C·d", ha="center")
    plot.axhline(base, color=BLUE, linestyle="--", linewidth=1, label=f"base {base} °C")
    plot.set_xticks(range(len(found["daily"]) + 1))
    label(plot, "day", "air (°C)")
    plot.legend(loc="upper right")
    return (
        f"Three days, each with its area above {base} °C: {found['total']:.1f} °C·d together. Cold hours take nothing "
        "off."
    )


def emergence(figure: Figure, given: Given, found: Given) -> str:
    """Days to emergence against soil temperature: the published table and the fitted law."""
    plot = figure.subplots()
    crop = given["crop"]
    known = DAYS_TO_EMERGE[crop]
    plot.plot(list(known), list(known.values()), "o", color=INK, label="Harrington & Minges 1954")
    across = [float(x) for x in np.linspace(5, 25, 80)]
    answers = [evaluate("emergence", {**given, "soil_c": x}) for x in across]
    plot.plot(across, [answer["days"] for answer in answers], color=BLUE, label="thermal time fitted to it")
    low, high = ([answer[key] for answer in answers] for key in ("low_days", "high_days"))
    plot.fill_between(across, low, high, color=BLUE, alpha=0.15)
    at = (given["soil_c"], found["days"])
    plot.plot(
        *at, "s", color=ORANGE, label=f"{at[0]} °C: {found['low_days']:.0f} to {found['high_days']:.0f} days"
    )
    plot.axvline(found["base_c"], color=GREY, linestyle=":", linewidth=1)
    plot.set(ylim=(0, None), xlim=(0, 26))
    label(plot, "soil at sowing depth (°C)", f"days to emergence of {crop}")
    plot.legend()
    return (
        f"{crop.capitalize()} comes up after {found['days']:.0f} days at {at[0]} °C; below about "
        f"{found['base_c']:.1f} °C it does not grow."
    )


PICTURES: dict[str, Draw] = {"degree-days": degree_days, "emergence": emergence}
