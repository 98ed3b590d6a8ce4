"""A file that anybody may have made, to rows of cells: CSV of any kind, or a spreadsheet. Sizes are bounded."""

from __future__ import annotations

import csv
import io
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Final

from underboard.core.errors import InputFault

Cell = str | float | datetime | date | time | None
MAX_BYTES: Final = 12 * 1024 * 1024
MAX_UNPACKED: Final = 96 * 1024 * 1024
MAX_ROWS: Final = 50_000
MAX_COLUMNS: Final = 200
MAX_CELL: Final = 20_000
_DELIMITERS: Final = (",", ";", "\t", "|")
_ZIP: Final = b"PK\x03\x04"


@dataclass(frozen=True)
class Table:
    """Heads and rows. `first_row` is the row number of the first row as people count them in the file."""

    heads: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    first_row: int = 2


def read_table(data: bytes) -> Table:
    """Read a CSV file or the first sheet of a spreadsheet (.xlsx).

    Raises
    ------
    InputFault
        Too large, damaged, or neither of the two.
    """
    if len(data) > MAX_BYTES:
        raise InputFault(
            "", f"The file is larger than {MAX_BYTES // (1024 * 1024)} MiB: take it in in parts."
        )
    rows = _sheet(data) if data.startswith(_ZIP) else _separated(data)
    begin = next(
        (place for place, row in enumerate(rows) if sum(cell not in (None, "") for cell in row) > 1), None
    )
    if begin is None:
        raise InputFault("", "There are no columns in this file: the first row must hold their heads.")
    heads = tuple(" ".join(_text(cell).split()) for cell in rows[begin])
    while heads and not heads[-1]:
        heads = heads[:-1]
    width = len(heads)
    body = tuple(tuple(row[:width]) + (None,) * (width - len(row)) for row in rows[begin + 1 :])
    return Table(heads, body, begin + 2)


def _separated(data: bytes) -> list[list[Cell]]:
    text = _decoded(data)
    if "\0" in text:
        raise InputFault("", "That is neither a CSV file nor a spreadsheet (.xlsx): save it as one of these.")
    sample = text[:20_000]
    return _rows(text, max(_DELIMITERS, key=lambda mark: _fits(sample, mark)))


def _decoded(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _fits(sample: str, mark: str) -> float:
    """How well a separator makes a table of the first lines: many columns, the same number in each."""
    widths = [len(row) for row in _rows(sample, mark, 20) if row]
    if not widths or max(widths) < 2:
        return 0.0
    usual = max(set(widths), key=widths.count)
    return usual * widths.count(usual) / len(widths) if usual > 1 else 0.0


def _rows(text: str, mark: str, most: int = MAX_ROWS + 1) -> list[list[Cell]]:
    csv.field_size_limit(MAX_CELL)
    rows: list[list[Cell]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=mark):
            if len(rows) >= most:
                if most > MAX_ROWS:
                    raise InputFault("", f"The file has more than {MAX_ROWS} rows: take it in in parts.")
                break
            rows.append(list(row[:MAX_COLUMNS]))
    except csv.Error as fault:
        if most <= MAX_ROWS:
            return rows
        raise InputFault("", f"The file can't be read as CSV near row {len(rows) + 1}.") from fault
    return rows


def _sheet(data: bytes) -> list[list[Cell]]:
    # A zip says how large its members are unpacked, and Python reads no byte more than that of each.
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            unpacked = sum(member.file_size for member in packed.infolist())
    except (zipfile.BadZipFile, OSError, ValueError, RuntimeError) as fault:
        raise _no_sheet() from fault
    if unpacked > MAX_UNPACKED:
        raise InputFault(
            "", "The spreadsheet is far larger unpacked than any notebook: save the one sheet as CSV."
        )
    from openpyxl import load_workbook

    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
        sheet = book.worksheets[0]
        sheet.reset_dimensions()  # what the file says of its size may be a lie
        found = _bounded(sheet.iter_rows(max_col=MAX_COLUMNS, values_only=True))
        book.close()
    except InputFault:
        raise
    except Exception as fault:  # openpyxl raises whatever its many parsers do
        raise _no_sheet() from fault
    return found


def _bounded(rows: Iterable[Iterable[object]]) -> list[list[Cell]]:
    found: list[list[Cell]] = []
    for row in rows:
        if len(found) > MAX_ROWS:
            raise InputFault("", f"The sheet has more than {MAX_ROWS} rows: take it in in parts.")
        found.append([_cell(value) for value in row])
    while found and all(cell in (None, "") for cell in found[-1]):
        found.pop()
    return found


def _cell(value: object) -> Cell:
    if value is None or isinstance(value, datetime | date | time):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return float(value)
    text = str(value)
    if len(text) > MAX_CELL:
        raise InputFault("", f"A cell holds more than {MAX_CELL} letters.")
    return text


def _text(cell: Cell) -> str:
    if isinstance(cell, float):
        return f"{cell:.15g}"
    return "" if cell is None else str(cell)


def _no_sheet() -> InputFault:
    return InputFault("", "That is no spreadsheet (.xlsx) that can be read: save the sheet as CSV.")
