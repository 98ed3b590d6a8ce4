"""The bench as a command: runs every row, prints the table, writes the JSON beside it.

A group whose results do not verify is void and costs the others nothing. What was measured so far is written after
each group. The last two groups, which take turns with the peer, get what is left of a quarter of an hour.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
import traceback
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Playwright, sync_playwright

from tests.bench import (
    rows_calculations,
    rows_client,
    rows_clone,
    rows_cost,
    rows_dawn,
    rows_growth,
    rows_jobs,
    rows_scenes,
    rows_screens,
    rows_server,
    rows_sync,
    rows_ten_years,
)
from tests.bench.table import Row, report, show, void

WITHIN_S = 13 * 60  # the turn that is begun last ends up to a minute and a half later
Group = tuple[int, Callable[[], list[Row]]]


def groups_of(playwright: Playwright, asked: argparse.Namespace, began: float) -> dict[str, Group]:
    """Every group: how long it takes on two quiet cores, roughly, in seconds, and how it is measured."""
    runs = 1 if asked.quick else 5
    end = began + WITHIN_S
    sizes = rows_scenes.SMALL if asked.quick else rows_scenes.Sizes()

    def half_of_the_rest() -> float:
        return time.monotonic() + max(0.0, end - time.monotonic()) / 2

    return {
        "shell": (1, rows_client.shell_rows),
        "calculations": (15, lambda: rows_calculations.calculation_rows(runs)),
        "jobs": (45, lambda: rows_jobs.job_rows(runs)),
        "push": (20, lambda: rows_server.push_rows(runs)),
        "growth": (20, lambda: rows_growth.growth_rows(runs * 4, asked.growth)),
        "cost": (50, rows_cost.cost_rows),
        "memory": (30, rows_ten_years.memory_rows),
        "dawn": (90, lambda: rows_dawn.dawn_rows(asked.quick)),
        "taps": (15, lambda: rows_client.tap_rows(playwright)),
        "start": (35, lambda: rows_client.start_rows(playwright, runs)),
        "screens and findings": (120, lambda: rows_screens.ten_year_rows(playwright, runs)),
        "clone": (40, lambda: rows_clone.clone_rows(asked.quick)),
        "sync": (250, lambda: rows_sync.sync_rows(playwright, runs, half_of_the_rest())),
        "scenes": (200, lambda: rows_scenes.scene_rows(playwright, runs, sizes, end)),
    }


def main() -> int:
    parser = argparse.ArgumentParser(prog="tests/bench/run")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the rows there too")
    parser.add_argument("--quick", action="store_true", help="one run of each instead of medians of five")
    parser.add_argument("--only", metavar="WORD", default="", help="groups whose name holds the word")
    parser.add_argument(
        "--growth", type=int, default=100_000, metavar="N", help="records of others, 1000 to 10000000"
    )
    parser.add_argument("--list", action="store_true", help="name the groups and their seconds, and stop")
    asked = parser.parse_args()
    rows: list[Row] = []
    began = time.monotonic()
    with sync_playwright() as playwright:
        chosen = {n: g for n, g in groups_of(playwright, asked, began).items() if asked.only in n}
        say(
            f"{len(chosen)} groups, about {sum(seconds for seconds, _ in chosen.values()):,} s on two quiet cores"
        )
        for name, (seconds, measure) in chosen.items():
            if asked.list:
                print(f"{name}: {seconds} s")
                continue
            started = time.monotonic()
            rows += verified(name, measure)
            say(f"… {name}: estimated {seconds} s, took {time.monotonic() - started:.0f} s")
            if asked.json:
                asked.json.write_text(json.dumps(report(rows), indent=2) + "\n", encoding="utf-8")
    if rows:
        print(show(rows))
        say(f"{time.monotonic() - began:.0f} s in all")
    return 1 if any(row.verdict == "void" for row in rows) else 0


def verified(name: str, measure: Callable[[], list[Row]]) -> list[Row]:
    try:
        return measure()
    except Exception as fault:  # whatever it is, the other groups have nothing to do with it
        traceback.print_exc()
        words = " ".join(str(fault).split())[:200] or type(fault).__name__
        return [void(name, words)]


def say(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


if __name__ == "__main__":
    raise SystemExit(main())
