"""`underboard export`: the plot as a file, in one of several forms."""

from __future__ import annotations

import argparse
import os
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from underboard.cli.opening import add_command, answer, opened, settings_of
from underboard.cli.pair import choose_plot
from underboard.config import SettingsError

FORMS = ("bundle", "observations", "tables", "darwin-core", "sensor-things", "parquet", "sketch")


def add(commands: Any) -> None:
    parser = add_command(commands, "export", "Write a plot into a file, in one of several forms.", run)
    parser.add_argument(
        "form", choices=FORMS, help="bundle: everything, for another Underboard; observations and tables: CSV; "
        "darwin-core: counts for archives; sensor-things: JSON; parquet: with an extra package; sketch: GeoJSON",
    )  # fmt: skip
    parser.add_argument(
        "file", metavar="FILE|FOLDER|-", nargs="?", default=".", help="where to (default: here)"
    )
    parser.add_argument("--plot", metavar="ID", help="which plot, when there are several")


def run(asked: argparse.Namespace) -> int:
    from underboard.exchange.out.forms import FORMS as forms
    from underboard.store.blobs import BlobStore
    from underboard.store.shelves import shelf_of
    from underboard.web.leaving import file_name, holding_of, write_form

    settings, form, now = settings_of(asked), forms[asked.form], datetime.now(UTC)
    with opened(settings):
        plot_id = choose_plot(asked.plot)
        blobs = BlobStore(shelf_of(settings))
        if asked.file == "-":
            write_form(sys.stdout.buffer, form, plot_id, blobs, now)
            return 0
        target = Path(asked.file).expanduser()
        if target.is_dir():
            target /= file_name(holding_of(plot_id).label(plot_id), form, now)
        if not target.parent.is_dir():
            raise SettingsError(f"There is no folder {target.parent}: make it first.")
        # Whole or not at all: a file that was cut off must not pass for an export.
        part = target.with_name(target.name + ".part")
        try:
            with part.open("wb") as out:
                write_form(out, form, plot_id, blobs, now)
            os.replace(part, target)
        finally:
            part.unlink(missing_ok=True)
    told = {"plot_id": plot_id, "form": form.name, "file": str(target), "bytes": target.stat().st_size}
    where = " It holds the exact place of the plot and all names." if form.exact else ""
    return answer(asked, told, f"Written: {target}, {form.doc}.{where}")
