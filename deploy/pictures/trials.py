"""Trials: what a treatment did, and whether a trial can show it."""

from __future__ import annotations

from matplotlib.figure import Figure

from deploy.pictures.frame import BLUE, GREEN, GREY, INK, ORANGE, Draw, Given, label
from underboard.core.agronomy import evaluate


def compare(figure: Figure, given: Given, found: Given) -> str:
    """Left the counts of each group, right the ratio with its three intervals."""
    dots, ratios = figure.subplots(1, 2, width_ratios=(2, 3))
    for place, counts in enumerate(given["groups"].values()):
        # Equal counts stand side by side: one dot a board.
        for count in set(counts):
            spread = [place + 0.09 * (i - (counts.count(count) - 1) / 2) for i in range(counts.count(count))]
            dots.plot(spread, [count] * len(spread), "o", color=INK, markersize=4)
        dots.plot([place - 0.3, place + 0.3], [sum(counts) / len(counts)] * 2, color=BLUE)
    dots.set_xticks(range(len(given["groups"])), given["groups"])
    dots.set(xlim=(-0.6, len(given["groups"]) - 0.4))
    label(dots, "", "slugs on a board (line: mean)")
    row = found["ratios"][0]
    kinds = (("Poisson", "poisson", ORANGE), ("quasi-Poisson", "quasi", GREEN), ("neg. binomial", "nb", BLUE))
    for place, (_, key, colour) in enumerate(kinds):
        ratios.plot([row[f"{key}_low"], row[f"{key}_high"]], [place, place], color=colour, linewidth=3)
        ratios.plot([row["ratio"]], [place], "o", color=INK, markersize=4)
    names = [name + (" (believe)" if key == found["believe"] else "") for name, key, _ in kinds]
    ratios.set_yticks(range(3), names)
    ratios.axvline(1, color=GREY, linestyle="--", linewidth=1)
    ratios.set(
        ylim=(2.6, -0.6), xscale="log", xticks=[0.1, 0.2, 0.5, 1], xticklabels=["0.1", "0.2", "0.5", "1"]
    )
    ratios.minorticks_off()
    label(ratios, "ratio (1: no effect), 95 % limits", "")
    return (
        f"{row['group'].capitalize()} boards had {row['ratio']:.2f} times the slugs; the interval to believe leaves 1 "
        "out."
    )


def trial_power(figure: Figure, given: Given, found: Given) -> str:
    """Chance to show the effect against boards, when boards are moved and when they stay."""
    plot = figure.subplots()
    boards = list(range(2, 41))
    answers = [evaluate("trial-power", {**given, "n_boards": n}) for n in boards]
    plot.plot(boards, [answer["power"] for answer in answers], color=BLUE, label="boards moved every round")
    keep = [answer["power_boards_keep"] for answer in answers]
    plot.plot(boards, keep, color=ORANGE, label="boards that keep their place")
    plot.axhline(0.8, color=GREY, linestyle=":", linewidth=1)
    plot.plot(
        [given["n_boards"]], [found["power"]], "o", color=INK, label=f"worked example: {found['power']:.0%}"
    )
    plot.set(ylim=(0, 1), xlim=(0, 40))
    label(plot, "boards a side", "chance that the trial shows it")
    plot.legend(loc="lower right")
    return (
        f"{given['percent_fewer']} % fewer slugs (mean {given['mean']} a board, k = {given['k']}) in "
        f"{given['n_rounds']} rounds: four in five trials show it from {found['n_boards_needed']} "
        "boards a side on, if boards are moved."
    )


PICTURES: dict[str, Draw] = {"compare": compare, "trial-power": trial_power}
