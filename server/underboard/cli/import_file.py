"""`underboard import`: an old notebook, a logger's file or a bundle; looked at first, undone as a whole."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from underboard.cli.opening import add_command, answer, opened, settings_of
from underboard.cli.pair import choose_plot
from underboard.config import SettingsError

if TYPE_CHECKING:
    from underboard.config import Settings
    from underboard.exchange.undoing import Undo
    from underboard.web.arriving import Taken

SERVER, COMMAND = "server", "command line"


def add(commands: Any) -> None:
    doc = "Take in a CSV file, a spreadsheet (.xlsx) or a bundle; it is shown before anything is written."
    parser = add_command(commands, "import", doc, run)
    parser.add_argument("file", metavar="FILE", nargs="?", type=Path)
    parser.add_argument("--yes", action="store_true", help="take it in without asking")
    parser.add_argument("--plot", metavar="ID", help="which plot, when there are several")
    parser.add_argument("--list", action="store_true", help="list the imports that stand")
    parser.add_argument("--undo", metavar="ID", help="take back this import")
    add_reading(parser)


def add_reading(parser: argparse.ArgumentParser) -> None:
    """Options that correct how a file is read."""
    parser.add_argument("--type", metavar="TYPE", help="what the rows are, such as slug_count or temperature")
    parser.add_argument(
        "--column",
        metavar="HEAD=WHAT",
        action="append",
        default=[],
        help="correct one column; may be repeated",
    )
    parser.add_argument("--month-first", action="store_true", help="5/3/2026 is the third of May")
    parser.add_argument("--day-first", action="store_true", help="3/5/2026 is the third of May")
    parser.add_argument("--station", metavar="LABEL", default="", help="the station that every row is of")
    parser.add_argument("--unit", choices=("degC", "degF"), help="unit of all temperatures")


def wishes_of(asked: argparse.Namespace) -> dict[str, Any]:
    """Return the corrections as `corrected` wants them."""
    columns = {}
    for pair in asked.column:
        head, mark, what = pair.partition("=")
        if not mark:
            raise SettingsError(
                f"--column {pair}: say it like --column Slugs=count; nothing behind = leaves it out."
            )
        columns[head] = what
    order = True if asked.day_first else False if asked.month_first else None
    return {
        "type": asked.type,
        "columns": columns,
        "day_first": order,
        "station": asked.station,
        "unit": asked.unit,
    }


def run(asked: argparse.Namespace) -> int:
    from underboard.web.arriving import is_bundle

    settings = settings_of(asked)
    if asked.list or asked.undo:
        return _standing(asked, settings)
    if asked.file is None:
        raise SettingsError("Say which file: underboard import FILE.")
    if not asked.file.is_file():
        raise SettingsError(f"There is no file {asked.file}.")
    with asked.file.open("rb") as stream:
        head = stream.read(2)
        bundle = head == b"PK" and is_bundle(stream)
    with opened(settings):
        return _bundle(asked, settings) if bundle else _table(asked)


def _table(asked: argparse.Namespace) -> int:
    from underboard.exchange.sheets.table import MAX_BYTES
    from underboard.exchange.sheets.taking import preview
    from underboard.web.arriving import Who, look_in, write_import
    from underboard.web.leaving import holding_of

    plot_id = choose_plot(asked.plot)
    if asked.file.stat().st_size > MAX_BYTES:
        raise SettingsError(
            f"{asked.file} is larger than {MAX_BYTES // (1024 * 1024)} MiB: take it in in parts."
        )
    found = preview(asked.file.read_bytes(), wishes_of(asked), holding_of(plot_id), look_in(plot_id))
    shown = found.as_json()
    if not asked.yes and (asked.json or not found.found.new or not _agreed(_preview_text(shown))):
        return answer(asked, {"plot_id": plot_id, "written": False, **shown}, _preview_text(shown))
    taken = write_import(plot_id, asked.file.name, found.found, Who(SERVER, COMMAND), datetime.now(UTC))
    return answer(asked, {"plot_id": plot_id, "written": True, **facts_of(taken)}, words_of(taken))


def _agreed(text: str) -> bool:
    if not sys.stdin.isatty():
        return False
    print(text)
    return input("Take it in? [y/N] ").strip().lower() in ("y", "yes")


def _preview_text(shown: Mapping[str, Any]) -> str:
    lines = [f"Read as {shown['type'].replace('_', ' ')}, {shown['rows']} rows:"]
    for column in shown["columns"]:
        unit = f" in {column['unit']}" if column.get("unit") else ""
        lines.append(f"  {column['head']}: {column['is'] or '(left out)'}{unit}")
    lines += [f"  row {one['row']}: {one['why']}" for one in shown["refusals"][:20]]
    if shown["refused"] > 20:
        lines.append(f"  … and {shown['refused'] - 20} more")
    lines += [shown["words"], "Nothing was written. --yes takes it in, --column HEAD=WHAT corrects a column."]
    return "\n".join(lines)


def _bundle(asked: argparse.Namespace, settings: Settings) -> int:
    from underboard.exchange.bundle import read_bundle
    from underboard.store import people
    from underboard.store.blobs import BlobStore
    from underboard.store.shelves import shelf_of
    from underboard.web.arriving import Who, into_plot, new_plot_of

    blobs, who, now = BlobStore(shelf_of(settings)), Who(SERVER, COMMAND), datetime.now(UTC)
    with asked.file.open("rb") as stream:
        bundle = read_bundle(stream)
        there = bundle.plot_id in people.plots()
        if asked.plot is None and not there:
            taken, plot_id = new_plot_of(bundle, blobs, who, now), bundle.plot_id
        else:
            plot_id = choose_plot(asked.plot or bundle.plot_id)
            taken = into_plot(plot_id, bundle, asked.file.name, blobs, who, now)
    new = "" if asked.plot or there else f" It is a plot of its own now: underboard pair --plot {plot_id}."
    return answer(asked, {"plot_id": plot_id, "written": True, **facts_of(taken)}, words_of(taken) + new)


def facts_of(taken: Taken) -> dict[str, Any]:
    from underboard.exchange.sheets.taking import refusals_json

    return {
        "import_id": taken.import_id,
        "taken": dict(taken.counts),
        "here_already": taken.same,
        "refused": len(taken.refused),
        "refusals": refusals_json(list(taken.refused)),
        "photos": taken.photos,
    }


def words_of(taken: Taken) -> str:
    told = ", ".join(f"{n} × {name.replace('_', ' ')}" for name, n in sorted(taken.counts.items()))
    lines = [f"Taken in: {told or 'nothing new'}; {taken.same} here already; {len(taken.refused)} refused."]
    lines += [f"  row {one.row}: {one.why}" for one in taken.refused[:20]]
    if taken.import_id:
        lines.append(f"Take it back with: underboard import --undo {taken.import_id}")
    return "\n".join(lines)


_STAYS = {
    "conflict": "with two values that nobody has settled yet (Sync on any phone)",
    "edited": "changed by somebody since",
    "named": "needed by those",
}


def _undone_words(done: Undo) -> str:
    lines = [f"{len(done.removed)} records were removed; {len(done.kept)} stay."]
    for why, words in _STAYS.items():
        if n := sum(one.why == why for one in done.stays):
            lines.append(f"  {n} {words}")
    return "\n".join(lines)


def _standing(asked: argparse.Namespace, settings: Settings) -> int:
    from underboard.web.arriving import Who, imports_of, undo_import

    with opened(settings):
        plot_id = choose_plot(asked.plot)
        if asked.undo:
            done = undo_import(plot_id, asked.undo, Who(SERVER, COMMAND), datetime.now(UTC))
            facts: dict[str, Any] = {"removed": len(done.removed), "kept": list(done.kept)}
            return answer(asked, facts, _undone_words(done))
        found = imports_of(plot_id)
    lines = [
        f"{one['import_id']}  {one['at']}  {one['records']} records here  {one['words']}" for one in found
    ]
    return answer(asked, {"plot_id": plot_id, "imports": found}, "\n".join(lines) or "No import stands.")
