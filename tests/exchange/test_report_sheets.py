"""What must not be parted by the end of a sheet of the PDF."""

from __future__ import annotations

import re
import zlib
from datetime import UTC, datetime

import pytest

from underboard.exchange.report.as_pdf import as_pdf
from underboard.exchange.report.parts import Grid, Report, Section, Words

NOW = datetime(2026, 11, 26, 10, 0, tzinfo=UTC)


def sheets(pdf: bytes) -> list[str]:
    """What each page says, in the order in which it is drawn."""
    found = re.findall(rb"stream\r?\n(.*?)\r?\nendstream", pdf, re.DOTALL)
    drawn = [zlib.decompress(one).decode("latin-1") for one in found if one[:1] == b"x"]
    return [" ".join(re.findall(r"\((.*?)\) ?Tj", page)).replace("  ", " ") for page in drawn]


@pytest.mark.parametrize("lines_before", range(0, 44, 6))
def test_a_verdict_stands_on_one_page_with_its_heading_and_what_it_rests_on(lines_before: int) -> None:
    """Wherever on a page the section begins, and wherever its rows reach the foot."""
    rows = tuple(
        (f"Bed {n}: first verdict{n}", " ".join(["begins", *["why"] * (15 + 9 * (n % 5)), f"end{n}"]))
        for n in range(14)
    )
    grid = Grid(("Verdict on a bed", "What that rests on"), rows, told_below=True)
    before = Section("Before", tuple(Words("A line.") for _ in range(lines_before)))
    pages = sheets(as_pdf(Report("R", "s", (before, Section("Wireworms", (grid,))), "foot"), NOW, fonts=()))
    assert len(pages) > 1
    for n in range(len(rows)):
        (page,) = [one for one in pages if f"verdict{n} " in one]
        assert f"end{n} " in page + " ", n
        assert "Verdict on a bed" in page  # the head is said again
    (first,) = [page for page in pages if "Wireworms" in page]
    assert "end0" in first


def test_a_sheet_that_lies_on_its_side_stays_so_and_a_row_higher_than_a_sheet_is_broken() -> None:
    heads = tuple(f"Head {n}" for n in range(11))
    rows = tuple(("word " * (400 if n == 2 else 12), *["x"] * 10) for n in range(40))
    report = Report(
        "R", "s", (Section("A", (Grid(heads, rows),)), Section("B", (Grid(heads, rows[:9]),))), "foot"
    )
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", as_pdf(report, NOW, fonts=()))
    assert len(boxes) > 2 and all(
        float(wide) > float(high) for wide, high in boxes[1:]
    )  # the first is the usual size
