"""One row of the bench: a figure, what it is held against in the same run, and whether it holds."""

from __future__ import annotations

import math
import os
import platform
import time
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from statistics import median
from typing import Any


@dataclass(frozen=True)
class Row:
    """`ratio` is value over what it is held against; `verdict` is holds, short, info or void."""

    figure: str
    value: float
    unit: str
    against: str
    ratio: float | None
    target: str
    verdict: str


def at_least(figure: str, value: float, unit: str, peer: str, peer_value: float, times: float) -> Row:
    """A figure that should be at least `times` what the peer reached in the same run."""
    ratio = value / peer_value
    verdict = "holds" if ratio >= times else "short"
    return Row(
        figure, value, unit, f"{peer}: {peer_value:,.0f} {unit}", ratio, f"at least {times:g} ×", verdict
    )


def at_most(figure: str, value: float, unit: str, limit: float, spread: str = "") -> Row:
    """A figure that should stay under a fixed limit."""
    verdict = "holds" if value < limit else "short"
    return Row(figure, value, unit, spread or "limit", value / limit, f"under {limit:g} {unit}", verdict)


def info(figure: str, value: float, unit: str, against: str) -> Row:
    """A figure that only tells where the limits are."""
    return Row(figure, value, unit, against, None, "", "info")


def void(group: str, why: str) -> Row:
    """What stands in the table where a group's results could not be verified: none of its figures counts."""
    return Row(f"group {group}", 0.0, "", why, None, "results verified", "void")


FEWEST = 3
"""Turns that a median is made of even where time has run out."""


def by_turns(
    runs: int,
    one: Callable[[], float],
    other: Callable[[], float],
    until: float = math.inf,
    warm: bool = False,
) -> tuple[float, float]:
    """Run two measurements in ABBA order and return the median of each; the first pair only warms them up.

    `warm`: they are, so every pair counts. Past `until`, a moment of the monotonic clock, three turns are enough.
    """
    ones: list[float] = []
    others: list[float] = []
    thrown_away = 0 if warm else 1
    for turn in range(runs + thrown_away):
        if turn >= FEWEST + thrown_away and time.monotonic() > until:
            break
        order = ((one, ones), (other, others)) if turn % 2 == 0 else ((other, others), (one, ones))
        for measure, kept in order:
            kept.append(measure())
    return median(ones[thrown_away:]), median(others[thrown_away:])


def report(rows: Iterable[Row]) -> dict[str, Any]:
    machine = f"{os.cpu_count()} cores, {platform.machine()}, Python {platform.python_version()}"
    return {
        "machine": machine,
        "date": datetime.now(UTC).date().isoformat(),
        "load": round(os.getloadavg()[1], 1),
        "rows": [asdict(row) for row in rows],
    }


def show(rows: Iterable[Row]) -> str:
    lines = [f"{'figure':58} {'value':>12} {'unit':10} {'ratio':>8}  {'target':18} {'verdict':8} against"]
    for row in rows:
        ratio = "" if row.ratio is None else f"{row.ratio:8.2f}"
        figure = f"{row.figure:58} {row.value:12,.1f} {row.unit:10} {ratio:>8}"
        lines.append(f"{figure}  {row.target:18} {row.verdict:8} {row.against}")
    return "\n".join(lines)
