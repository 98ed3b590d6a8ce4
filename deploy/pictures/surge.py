"""Surges and trends: a series, its limit, its slope."""

from __future__ import annotations

from itertools import pairwise

from matplotlib.figure import Figure

from deploy.pictures.frame import BLUE, GREY, INK, ORANGE, Draw, Given, label


def surge(figure: Figure, given: Given, found: Given) -> str:
    """Totals round by round, with what was expected and the limit."""
    plot = figure.subplots()
    totals = [sum(count or 0 for count in row) for row in given["rounds"]]
    points = found["points"]
    plot.plot(range(1, len(totals) + 1), totals, "o-", color=INK, label="slugs on all boards turned")
    where = [point["i"] + 1 for point in points]
    plot.plot(where, [point["expected"] for point in points], "s--", color=GREY, label="expected")
    plot.plot(
        where,
        [point["limit"] for point in points],
        "_",
        color=BLUE,
        markersize=26,
        label="limit of the usual",
    )
    alarms = [(point["i"] + 1, point["count"]) for point in points if point["alarm"]]
    plot.scatter(
        *zip(*alarms, strict=True), s=140, facecolors="none", edgecolors=ORANGE, linewidths=2, label="alarm"
    )
    plot.set(ylim=(0, None), xlim=(0.5, len(totals) + 0.5), xticks=range(1, len(totals) + 1))
    label(plot, "round", "slugs")
    plot.legend(loc="upper left")
    return (
        f"{len(totals)} rounds of {len(given['rounds'][0])} boards: from the sixth on there is a limit, and the last "
        "round stands above it."
    )


def trend(figure: Figure, given: Given, found: Given) -> str:
    """The values, the middle slope, and the slopes at its limits through the middle of the series."""
    plot = figure.subplots()
    values = given["values"]
    times = range(len(values))
    centre = (len(values) - 1) / 2
    middle = found["intercept"] + found["slope"] * centre
    plot.plot(times, values, "o", color=INK, label="values")
    for key, style in (("slope_low", ":"), ("slope", "-"), ("slope_high", ":")):
        line = [middle + found[key] * (time - centre) for time in times]
        words = {"slope": f"Theil-Sen slope {found['slope']:.2f} a step", "slope_low": "its 95 % limits"}.get(
            key
        )
        plot.plot(times, line, style, color=BLUE, label=words)
    plot.set(ylim=(0, None))
    label(plot, "step", "value (in its own unit)")
    plot.legend(loc="lower right")
    ups = sum(b > a for a, b in pairwise(values))
    return (
        f"The series rises by {found['slope']:.2f} a step ({found['slope_low']:.2f} to {found['slope_high']:.2f}), "
        f"though only {ups} of {len(values) - 1} steps go up."
    )


PICTURES: dict[str, Draw] = {"surge": surge, "trend": trend}
