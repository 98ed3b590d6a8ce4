"""`underboard watch-folder`: files that loggers leave in a folder are taken in and put aside."""

from __future__ import annotations

import argparse
import time
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from underboard.cli.import_file import COMMAND, SERVER, add_reading, wishes_of, words_of
from underboard.cli.opening import add_command, answer, opened, settings_of
from underboard.cli.pair import choose_plot
from underboard.config import SettingsError
from underboard.core.errors import InputFault

DONE, REFUSED = "taken-in", "refused"
SETTLED_S = 5.0
"""A file that was written to more recently than this may still be growing."""
SUFFIXES = frozenset({".csv", ".tsv", ".txt", ".xlsx"})


def add(commands: Any) -> None:
    doc = "Take in files that loggers leave in a folder; each is put aside with what became of it."
    parser = add_command(commands, "watch-folder", doc, run)
    parser.add_argument("folder", metavar="DIR", type=Path)
    parser.add_argument("--plot", metavar="ID", help="which plot, when there are several")
    parser.add_argument("--once", action="store_true", help="look once and end, for cron")
    parser.add_argument("--every", metavar="SECONDS", type=float, default=60.0, help="how often to look (60)")
    add_reading(parser)


def run(asked: argparse.Namespace) -> int:
    if not asked.folder.is_dir():
        raise SettingsError(f"There is no folder {asked.folder}: make it first.")
    settings, wishes = settings_of(asked), wishes_of(asked)
    while True:
        # Opened for each look: between two the server may be stopped, restored or moved.
        with opened(settings):
            told = look(asked.folder, choose_plot(asked.plot), wishes, datetime.now(UTC))
        if asked.once or told:
            text = "\n".join(f"{one['file']}: {one['words']}" for one in told) or "No new file."
            answer(asked, {"files": told}, text)
        if asked.once:
            return 0
        time.sleep(max(1.0, asked.every))


def look(folder: Path, plot_id: str, wishes: Mapping[str, Any], now: datetime) -> list[dict[str, Any]]:
    """Take in every file of a folder that has settled; return what became of each.

    A file without a column of stations is of the station whose label is its name, such as `G1.csv` or
    `G1 2026-05.csv`, unless `wishes` names one.
    """
    told = []
    for path in sorted(folder.iterdir()):
        if path.is_symlink() or not path.is_file() or path.suffix.lower() not in SUFFIXES:
            continue
        age = now.timestamp() - path.stat().st_mtime
        if age >= SETTLED_S:
            told.append(_take(path, plot_id, wishes, now))
    return told


def _take(path: Path, plot_id: str, wishes: Mapping[str, Any], now: datetime) -> dict[str, Any]:
    from underboard.exchange.sheets.table import MAX_BYTES
    from underboard.exchange.sheets.taking import preview
    from underboard.web.arriving import Who, look_in, write_import
    from underboard.web.leaving import holding_of

    holding = holding_of(plot_id)
    labels = sorted(
        (str(one["body"].get("label") or "") for one in holding.of("station")), key=len, reverse=True
    )
    named = next(
        (label for label in labels if label and path.stem.casefold().startswith(label.casefold())), ""
    )
    try:
        if path.stat().st_size > MAX_BYTES:
            raise InputFault("", "The file is too large: split it.")
        wanted = {**wishes, "station": wishes.get("station") or named}
        found = preview(path.read_bytes(), wanted, holding, look_in(plot_id))
        taken = write_import(plot_id, path.name, found.found, Who(SERVER, COMMAND), now)
        words, good = words_of(taken), bool(taken.counts or taken.same) or not taken.refused
        counts, refused = dict(taken.counts), len(taken.refused)
    except InputFault as fault:
        words, good, counts, refused = fault.detail, False, {}, 0
    _put_aside(path, DONE if good else REFUSED, words, now)
    return {"file": path.name, "taken": counts, "refused": refused, "ok": good, "words": words}


def _put_aside(path: Path, where: str, words: str, now: datetime) -> None:
    folder = path.parent / where
    folder.mkdir(exist_ok=True)
    target = folder / path.name
    if target.exists():  # nothing is written over
        target = folder / f"{path.stem}-{now:%Y%m%dT%H%M%S%f}{path.suffix}"
    path.rename(target)
    target.with_name(target.name + ".report.txt").write_text(words + "\n", encoding="utf-8")
