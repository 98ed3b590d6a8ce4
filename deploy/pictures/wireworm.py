"""Wireworms: what a nil result hides."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure

from deploy.pictures.frame import BLUE, GREY, INK, ORANGE, Draw, Given, label
from underboard.core.agronomy import evaluate

#: Clumping of wireworms a core for the second line; common practice, no source.
CLUMPED = 0.2


def miss_chance(figure: Figure, given: Given, found: Given) -> str:
    """Chance of finding nothing against how many there are."""
    plot = figure.subplots()
    per_ha = np.linspace(1_000, 400_000, 200)
    for words, more, colour in (("at random", {}, BLUE), (f"clumped, k = {CLUMPED}", {"k": CLUMPED}, ORANGE)):
        chance = [evaluate("miss-chance", {**given, **more, "per_ha": float(x)})["p_miss"] for x in per_ha]
        plot.plot(per_ha / 1000, chance, color=colour, label=f"larvae {words}")
    here = given["per_ha"] / 1000
    plot.plot(
        [here], [found["p_miss"]], "o", color=INK, label=f"worked example: {found['p_miss']:.0%} missed"
    )
    plot.axhline(0.05, color=GREY, linestyle=":", linewidth=1)
    plot.set(ylim=(0, 1), xlim=(0, 400))
    label(plot, "wireworms there (thousand a hectare)", "chance to find none")
    plot.legend()
    return (
        f"{given['n_units']} cores of {given['core_diameter_m'] * 100:.0f} cm with {given['recovery']:.0%} of the "
        "larvae recovered: finding none is no proof that none are there."
    )


PICTURES: dict[str, Draw] = {"miss-chance": miss_chance}
