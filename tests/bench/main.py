"""The bench as a command: runs every row, prints the table, writes the JSON beside it."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.bench import (
    rows_calculations,
    rows_client,
    rows_cost,
    rows_dawn,
    rows_findings,
    rows_growth,
    rows_jobs,
    rows_scenes,
    rows_screens,
    rows_server,
)
from tests.bench.table import Row, report, show


def main() -> int:
    parser = argparse.ArgumentParser(prog="tests/bench/run")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the rows there too")
    parser.add_argument("--quick", action="store_true", help="one run of each instead of medians of five")
    parser.add_argument("--only", metavar="WORD", default="", help="groups whose name holds the word")
    parser.add_argument(
        "--growth", type=int, default=100_000, metavar="N", help="records of others, 1000 to 10000000"
    )
    parser.add_argument("--list", action="store_true", help="name the groups and stop")
    asked = parser.parse_args()
    runs = 1 if asked.quick else 5
    rows: list[Row] = []
    with sync_playwright() as playwright:
        groups = {
            "shell": rows_client.shell_rows,
            "calculations": lambda: rows_calculations.calculation_rows(runs),
            "jobs": lambda: rows_jobs.job_rows(runs),
            "push": lambda: rows_server.push_rows(runs),
            "growth": lambda: rows_growth.growth_rows(runs * 4, asked.growth),
            "cost": rows_cost.cost_rows,
            "dawn": lambda: rows_dawn.dawn_rows(asked.quick),
            "taps": lambda: rows_client.tap_rows(playwright),
            "start": lambda: rows_client.start_rows(playwright, runs),
            "screens": lambda: rows_screens.screens_rows(playwright, runs),
            "findings": lambda: rows_findings.findings_rows(playwright, runs),
            "sync": lambda: rows_client.sync_rows(playwright, runs),
            "scenes": lambda: rows_scenes.scene_rows(
                playwright, runs, rows_scenes.SMALL if asked.quick else rows_scenes.Sizes()
            ),
        }
        for name, measure in groups.items():
            if asked.list:
                print(name)
            elif asked.only in name:
                print(f"… {name}", file=sys.stderr, flush=True)
                rows += measure()
    if rows:
        print(show(rows))
    if asked.json:
        asked.json.write_text(json.dumps(report(rows), indent=2) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
