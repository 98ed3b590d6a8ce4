"""The page of measured figures, made from what the bench wrote: `python -m tests.bench.page FILE.json …`.

`results.json` beside this file keeps the newest row of each figure, with the machine, the day and the load under
which it came out; the page of the help is made from it and from nothing else.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent
KEPT = FOLDER / "results.json"
PAGE = FOLDER.parents[1] / "deploy" / "docs" / "pages" / "performance.md"

HEAD = """\
# How fast it is, measured

Made by `tests/bench/run --json FILE` and `python -m tests.bench.page FILE`; nothing here is typed by hand. Each
figure is held against a fixed limit, or against a peer or a physical limit measured in the same run. Peer and we take
turns (ABBA), what only warms them up is thrown away, and the middle one of the rest counts: of five, or of three
where the machine is too slow for five within a quarter of an hour; rows "of 2,000" are from `--quick`, where one turn
is left. What arrived is counted, in syncs hashed at both ends as well, or the row is void.

- The **peer** is a general-purpose replicating database (PouchDB 9 with express-pouchdb 4.2) in the same Chromium,
  at its best batch size. It also does replication among many masters, which Underboard does not; its server keeps
  all in memory, or in LevelDB where the row says so, while ours waits for the disk at every push.
- **Raw** SQLite or IndexedDB is the same number of rows at the same transaction size with nothing else: no ledger
  of operations, no change log, no checks. No server can beat it; how near one comes is the figure.
- *Load* is how many programs wanted the processor at the time, on average (2 cores: above 2, all of them wait).
  Other work on the machine makes figures by the clock worse; ratios suffer less, and processor time least.
- **Projected** rows are not measured: a line through what was measured at several sizes of the database, drawn on to a
  hundred million records. What belongs to one plot is found through indexes, whose depth grows with the logarithm.
- **Short** says that a target was not reached in that run.
"""


def merged(kept: list[dict[str, Any]], report: dict[str, Any]) -> list[dict[str, Any]]:
    """Rows with those of a newer report in the place of older ones of the same figure."""
    measured = {"machine": report["machine"], "date": report["date"], "load": report["load"]}
    newer = {row["figure"]: {**row, **measured} for row in report["rows"]}
    older = [newer.pop(row["figure"], row) for row in kept if not row["figure"].startswith("group ")]
    return older + list(newer.values())


def page(rows: list[dict[str, Any]]) -> str:
    lines = [HEAD]
    for machine in dict.fromkeys(row["machine"] for row in rows):
        lines += [f"## {machine}", "", "| figure | value | against | ratio | reach | verdict | day, load |"]
        lines.append("|---|---|---|---|---|---|---|")
        lines += [line(row) for row in rows if row["machine"] == machine]
        lines.append("")
    return "\n".join(lines)


def line(row: dict[str, Any]) -> str:
    value = row["value"]
    digits = 0 if abs(value) >= 100 else 1 if abs(value) >= 10 else 2
    ratio = "" if row["ratio"] is None else f"{row['ratio']:.2f}"
    cells = (
        row["figure"],
        f"{value:,.{digits}f} {row['unit']}",
        row["against"],
        ratio,
        row["target"],
        f"**{row['verdict']}**" if row["verdict"] in ("short", "void") else row["verdict"],
        f"{row['date']}, {row['load']:g}",
    )
    return f"| {' | '.join(cells)} |"


def main(files: list[str]) -> None:
    rows = json.loads(KEPT.read_text("utf-8")) if KEPT.exists() else []
    for file in files:
        rows = merged(rows, json.loads(Path(file).read_text("utf-8")))
    KEPT.write_text(json.dumps(rows, indent=1, ensure_ascii=False) + "\n", "utf-8")
    PAGE.write_text(page(rows), "utf-8")


if __name__ == "__main__":
    main(sys.argv[1:])
