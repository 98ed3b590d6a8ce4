"""`underboard report`: a week, a season or the record of products used, as a page or as PDF."""

from __future__ import annotations

import argparse
import os
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from underboard.cli.opening import add_command, answer, opened, settings_of
from underboard.cli.pair import choose_plot
from underboard.config import SettingsError

FIRST_YEAR, LAST_YEAR = 1900, 2200


def add(commands: Any) -> None:
    parser = add_command(commands, "report", "Write a report as a page (.html) or as PDF (.pdf).", run)
    parser.add_argument("kind", choices=("week", "season", "products"))
    parser.add_argument("file", metavar="FILE", type=Path, nargs="?", help="default: here, as PDF")
    parser.add_argument(
        "--until", metavar="DAY", help="last day of the week, such as 2026-09-01 (default: today)"
    )
    parser.add_argument("--year", type=int, help="which year (default: this one)")
    parser.add_argument("--language", choices=("en", "de"), default="en", help="of its words (default: en)")
    parser.add_argument("--plot", metavar="ID", help="which plot, when there are several")


def run(asked: argparse.Namespace) -> int:
    from underboard.exchange.report.as_html import as_html
    from underboard.exchange.report.as_pdf import as_pdf
    from underboard.exchange.report.german import TONGUES
    from underboard.exchange.report.reports import KINDS
    from underboard.web.leaving import holding_of
    from underboard.web.views.report import about_of

    kind, now, until = KINDS[asked.kind], datetime.now(UTC), _day(asked.until)
    if asked.year is not None and not FIRST_YEAR <= asked.year <= LAST_YEAR:
        raise SettingsError(f"--year {asked.year}: a year from {FIRST_YEAR} to {LAST_YEAR}.")
    with opened(settings_of(asked)):
        holding = holding_of(choose_plot(asked.plot))
    about = about_of(kind.of_year, until, asked.year, now, holding.plot.get("time_zone"))
    target = asked.file or Path(f"{asked.kind}-{about}.pdf")
    if target.suffix not in (".html", ".pdf"):
        raise SettingsError(f"{target}: end the name in .html or .pdf.")
    if not target.absolute().parent.is_dir():
        raise SettingsError(f"There is no folder {target.parent}: make it first.")
    made = kind.make(holding, about, now, TONGUES[asked.language])
    data = as_pdf(made, now) if target.suffix == ".pdf" else as_html(made).encode()
    part = target.with_name(target.name + ".part")
    part.write_bytes(data)
    os.replace(part, target)
    return answer(
        asked,
        {"file": str(target), "kind": kind.name, "about": str(about)},
        f"Written: {target}, {kind.doc}.",
    )


def _day(text: str | None) -> date | None:
    if text is None:
        return None
    try:
        day = date.fromisoformat(text)
    except ValueError as fault:
        raise SettingsError(f"--until {text}: say a day like 2026-09-01.") from fault
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise SettingsError(f"--until {text}: a year from {FIRST_YEAR} to {LAST_YEAR}.")
    return day
