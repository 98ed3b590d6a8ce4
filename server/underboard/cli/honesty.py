"""`underboard honesty`: how often intervals hold the truth and alarms tell it, by seeded simulation.

::

    underboard honesty              the full tables (some minutes), as Markdown on standard output
    underboard honesty --quick      the same with a tenth of the runs
    underboard honesty --seed 7     other draws

HONESTY.md beside the calculations is the full output with the usual seed.
"""

from __future__ import annotations

import argparse
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor

USUAL_SEED = 2026
QUICK, FULL = 0.1, 1.0
_INTRODUCTION = """# How honest the intervals and alarms are

Written by `underboard honesty --seed {seed}{quick}`; do not edit. Every figure is the outcome of simulated
counts put through the calculations as they are. Shares are of all runs of a line; with 2,000 runs a share of
95 % is known to about one point either way (two standard errors)."""


def run(words: Sequence[str]) -> int:
    """Run the command with its arguments (without ``underboard honesty``) and return the exit code."""
    parser = argparse.ArgumentParser(prog="underboard honesty", description=__doc__)
    parser.add_argument("--quick", action="store_true", help="a tenth of the runs")
    parser.add_argument("--seed", type=int, default=USUAL_SEED, help="seed of the draws")
    asked = parser.parse_args(words)
    print(report(asked.seed, quick=asked.quick), end="")
    return 0


def report(seed: int, *, quick: bool) -> str:
    """All tables as Markdown."""
    from underboard.cli import honesty_alarms, honesty_intervals, honesty_trials

    share = QUICK if quick else FULL
    parts = [_INTRODUCTION.format(seed=seed, quick=" --quick" if quick else "")]
    workers = max(os.cpu_count() or 1, 1)
    with ProcessPoolExecutor(workers) as pool:
        for part in (honesty_intervals, honesty_trials, honesty_alarms):
            cells = part.cells()
            jobs = [(part.line, cell, seed, place, share) for place, cell in enumerate(cells)]
            lines = list(pool.map(_line, jobs))
            parts.append(part.table(lines))
    return "\n\n".join(parts) + "\n"


def _line(job: tuple[Callable[..., list[str]], object, int, int, float]) -> list[str]:
    """One line of a table; its draws depend on the seed and its place alone, not on who computes it."""
    line, cell, seed, place, share = job
    return line(cell, (seed, place), share)


def markdown(head: Sequence[str], lines: Sequence[Sequence[str]]) -> str:
    """A Markdown table."""
    rows = [list(head), ["---"] * len(head), *lines]
    return "\n".join("| " + " | ".join(row) + " |" for row in rows)


def percent(share: float) -> str:
    """A share in percent with one decimal."""
    return f"{100 * share:.1f}"
