"""Counts: how they scatter, what that does to the interval, when to stop."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from scipy.stats import nbinom, poisson

from deploy.pictures.frame import BLUE, GREEN, GREY, INK, ORANGE, Draw, Given, label
from underboard.core.agronomy import evaluate


def count_summary(figure: Figure, given: Given, found: Given) -> str:
    """Left the counts under both laws, right what each makes of the mean."""
    law, limits = figure.subplots(1, 2, width_ratios=(3, 2))
    counts, mean, k = np.array(given["counts"]), found["mean"], found["k"]
    bins = np.arange(0, counts.max() + 4, 4)
    law.hist(counts, bins=bins - 0.5, color=GREY, alpha=0.5, label="boards counted")
    for name, colour, chance in (
        ("Poisson", ORANGE, poisson(mean).pmf),
        ("negative binomial", BLUE, nbinom(k, k / (k + mean)).pmf),
    ):
        expected = [len(counts) * sum(chance(range(low, low + 4))) for low in bins[:-1]]
        law.plot(bins[:-1] + 1.5, expected, "o-", color=colour, markersize=3, label=f"{name} expects")
    label(law, "slugs on a board (in fours)", "boards")
    law.legend()
    rows = (
        ("Poisson", "poisson_low", "poisson_high", ORANGE),
        ("profile", "mean_low", "mean_high", BLUE),
        ("calibrated", "mean_low_calibrated", "mean_high_calibrated", GREEN),
    )
    for place, (_, low, high, colour) in enumerate(rows):
        limits.plot([found[low], found[high]], [place, place], color=colour, linewidth=3)
        limits.plot([mean], [place], "o", color=INK, markersize=4)
    limits.set_yticks(range(3), [row[0] for row in rows])
    limits.set(ylim=(2.6, -0.6), xlim=(0, None))
    label(limits, "mean, 95 % limits (slugs)", "")
    return (
        f"Twelve boards scatter far more than chance (k = {k:.2f}): the Poisson limits of the mean of {mean:.1f} "
        "slugs are much too narrow."
    )


def stop_line(figure: Figure, given: Given, found: Given) -> str:
    """The line above which the mean is known well enough, and where this count stands."""
    plot = figure.subplots()
    n = list(range(2, 31))
    line = [row["stop_total"] for row in evaluate("stop-line", {**given, "n": n})["lines"]]
    plot.plot(n, line, color=BLUE, label=f"stop line (standard error {given['d']:.0%} of the mean)")
    plot.fill_between(n, line, 300, color=BLUE, alpha=0.1)
    at = given["n"][-1]
    plot.plot(
        [at],
        [given["total"]],
        "o",
        color=ORANGE,
        label=f"{given['total']} slugs on {at} boards: {found['verdict']}",
    )
    plot.set(ylim=(0, 300), xlim=(0, 30))
    label(plot, "boards looked under", "slugs counted so far")
    plot.legend()
    return "Above the line enough has been counted; below it, turn another board."


def taylor(figure: Figure, given: Given, found: Given) -> str:
    """Variance against mean of each group, and the fitted power."""
    plot = figure.subplots()
    means = np.array([np.mean(group) for group in given["groups"]])
    variances = np.array([np.var(group, ddof=1) for group in given["groups"]])
    across = np.array([means.min() / 1.5, means.max() * 1.5])
    plot.loglog(means, variances, "o", color=INK, label="one group of boards")
    plot.loglog(
        across,
        found["a"] * across ** found["b"],
        color=BLUE,
        label=f"{found['a']:.2f} · mean^{found['b']:.2f}",
    )
    plot.loglog(across, across, "--", color=GREY, label="chance alone: variance = mean")
    label(plot, "mean (slugs a board)", "variance (slugs² a board)")
    plot.legend()
    return f"The variance grows with the mean to the power {found['b']:.2f}, faster than chance alone would have it."


PICTURES: dict[str, Draw] = {"count-summary": count_summary, "stop-line": stop_line, "taylor": taylor}
