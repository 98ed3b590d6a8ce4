"""A report as PDF (A4), drawn from the same parts as the page by fpdf2."""

from __future__ import annotations

import unicodedata
import warnings
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from underboard.exchange.report.parts import KEPT_WHOLE, Block, Dot, Drawing, Grid, Label, Line, Report, Words

if TYPE_CHECKING:
    from fpdf import FPDF

#: Where systems keep a font with the letters of most languages. Without one, what Latin-1 lacks becomes "?".
FONTS: Final = (
    (
        "/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf",
        "/usr/share/fonts/truetype/dejavu/DejaVuSans-Bold.ttf",
    ),
    (
        "/usr/share/fonts/dejavu-sans-fonts/DejaVuSans.ttf",
        "/usr/share/fonts/dejavu-sans-fonts/DejaVuSans-Bold.ttf",
    ),
    ("/usr/share/fonts/TTF/DejaVuSans.ttf", "/usr/share/fonts/TTF/DejaVuSans-Bold.ttf"),
    ("/Library/Fonts/Arial Unicode.ttf", "/Library/Fonts/Arial Unicode.ttf"),
    ("C:/Windows/Fonts/arial.ttf", "C:/Windows/Fonts/arialbd.ttf"),
)
_PLAIN: Final = {
    "–": "-",
    "—": "-",
    "−": "-",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "…": "...",
    "≥": ">=",
    "≤": "<=",
}
_INK, _SOIL, _FAINT = (31, 26, 20), (107, 45, 18), (207, 195, 171)
_MM_A_POINT: Final = 25.4 / 72
#: More columns than this are read on a sheet that lies on its side.
_UPRIGHT_COLUMNS: Final = 8
#: A cell asks for no more than this [mm], and for so much beside its text.
_WIDEST: Final = 130.0
_WIDEST_HEAD: Final = 34.0
_BESIDE: Final = 2.4
#: Of a cell [mm]: height of a line, room above and below it.
_CELL_LINE: Final = 4.2
_CELL_EDGE: Final = 0.8
#: A heading with its line and the room around them; a paragraph's first lines [mm].
_HEADING: Final = 14.0
_FIRST_LINES: Final = 12.0


def as_pdf(report: Report, made_at: datetime, fonts: Iterable[tuple[str, str]] = FONTS) -> bytes:
    """Return the PDF. The same report of the same moment gives the same bytes on the same machine."""
    from fpdf import FPDF

    pdf = FPDF(format="A4")
    pdf.set_creation_date(made_at)
    pdf.set_margins(16, 16)
    pdf.set_auto_page_break(True, 18)
    writer = _Writer(pdf, _font(pdf, fonts))
    pdf.set_title(writer.fit(report.title))
    pdf.set_lang(report.language)
    wide = any(
        isinstance(block, Grid) and len(block.heads) > _UPRIGHT_COLUMNS
        for one in report.sections
        for block in one.blocks
    )
    pdf.add_page(orientation="landscape" if wide else "portrait")
    writer.words(report.title, size=17, bold=True)
    writer.words(report.subtitle, size=10)
    for section in report.sections:
        writer.heading(section.title, section.blocks[0] if section.blocks else None)
        for block in section.blocks:
            writer.block(block)
    pdf.ln(3)
    writer.words(report.foot, size=8)
    return bytes(pdf.output())


def _font(pdf: FPDF, fonts: Iterable[tuple[str, str]]) -> str:
    for plain, bold in fonts:
        if Path(plain).is_file() and Path(bold).is_file():
            pdf.add_font("own", "", plain)
            pdf.add_font("own", "B", bold)
            return "own"
    return "helvetica"


class _Writer:
    """Writes the parts one below the other."""

    def __init__(self, pdf: FPDF, font: str) -> None:
        self._pdf = pdf
        self._font = font

    def fit(self, text: str) -> str:
        """Return text as the font can show it: control characters away, and Latin-1 where there is no other."""
        kept = "".join(" " if unicodedata.category(letter)[0] == "C" else letter for letter in text)
        if self._font == "own":
            return kept
        plain = "".join(_PLAIN.get(letter, letter) for letter in kept)
        return plain.encode("latin-1", "replace").decode("latin-1")

    def words(self, text: str, *, size: float = 10, bold: bool = False, indent: float = 0) -> None:
        pdf = self._pdf
        pdf.set_font(self._font, "B" if bold else "", size)
        pdf.set_text_color(*_INK)
        pdf.set_x(pdf.l_margin + indent)
        # Markdown stays off: what people wrote is text.
        pdf.multi_cell(0, size * 0.48, self.fit(text) or " ", new_x="LMARGIN", new_y="NEXT", align="L")
        pdf.ln(1)

    def heading(self, text: str, first: Block | None) -> None:
        """Write a heading, on the sheet on which there is room for what it heads as well."""
        pdf = self._pdf
        self._keep_together(_HEADING + (_FIRST_LINES if first is None else self._least(first)))
        pdf.ln(3)
        self.words(text, size=12.5, bold=True)
        pdf.set_draw_color(*_SOIL)
        pdf.set_line_width(0.5)
        pdf.line(pdf.l_margin, pdf.get_y(), pdf.w - pdf.r_margin, pdf.get_y())
        pdf.ln(2)

    def _keep_together(self, height: float) -> bool:
        """Turn the sheet where so much [mm] has no room left; not for what has room on no sheet."""
        pdf = self._pdf
        turns = pdf.will_page_break(height) and height <= pdf.page_break_trigger - pdf.t_margin
        if turns:
            pdf.add_page(orientation=pdf.cur_orientation.value)
        return turns

    def _least(self, block: Block) -> float:
        """Return what of a block must stand on one sheet [mm]: a picture and its words, a table's head and a row."""
        if isinstance(block, Words):
            return _FIRST_LINES
        if isinstance(block, Grid):
            rows = self._row_heights(block, self._widths(block))
            return sum(rows[:2])
        scale = (self._pdf.w - self._pdf.l_margin - self._pdf.r_margin) / block.drawing.width
        return block.drawing.height * scale + _FIRST_LINES

    def block(self, block: Block) -> None:
        if isinstance(block, Words):
            self._paragraph(block)
        elif isinstance(block, Grid):
            self._grid(block)
        else:
            self._drawing(block.drawing)
            self.words(block.words, size=9)

    def _paragraph(self, block: Words) -> None:
        pdf, page, top = self._pdf, self._pdf.page_no(), self._pdf.get_y()
        self.words(block.text, indent=5 if block.caution else 0)
        if block.caution and pdf.page_no() == page:
            pdf.set_draw_color(180, 83, 10)
            pdf.set_line_width(1.2)
            pdf.line(pdf.l_margin + 1.5, top, pdf.l_margin + 1.5, pdf.get_y() - 1)

    def _grid(self, grid: Grid) -> None:
        """Write a table. A row that goes over to the next sheet goes there whole, with what is told below it."""
        widths = self._widths(grid)
        head, *heights = self._row_heights(grid, widths)
        rows: list[tuple[str, ...]] = []
        left = self._pdf.page_break_trigger - self._pdf.get_y() - head
        for row, height in zip(grid.rows, heights, strict=True):
            if rows and height > left:
                self._table(grid, widths, rows)
                self._pdf.add_page(orientation=self._pdf.cur_orientation.value)
                rows, left = [], self._pdf.page_break_trigger - self._pdf.get_y() - head
            elif not rows and self._keep_together(head + height):
                left = self._pdf.page_break_trigger - self._pdf.get_y() - head
            rows.append(row)
            left -= height
        self._table(grid, widths, rows)
        self._pdf.ln(2)

    def _table(self, grid: Grid, widths: tuple[float, ...], rows: list[tuple[str, ...]]) -> None:
        from fpdf.enums import TableBordersLayout, VAlign
        from fpdf.fonts import FontFace

        pdf = self._pdf
        pdf.set_font(self._font, "", 8.5)
        pdf.set_text_color(*_INK)
        pdf.set_draw_color(*_FAINT)
        pdf.set_fill_color(255)  # cells are filled with whatever was filled last
        pdf.set_line_width(0.2)
        head = FontFace(emphasis="BOLD", fill_color=(246, 241, 231))
        bold = FontFace(emphasis="BOLD")
        across = len(widths)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # a row that is taller than a page is broken, and said on stderr
            with pdf.table(
                borders_layout=TableBordersLayout.HORIZONTAL_LINES, col_widths=widths, line_height=_CELL_LINE,
                headings_style=head, text_align="LEFT", padding=_CELL_EDGE, markdown=False, v_align=VAlign.T,
            ) as table:  # fmt: skip
                for cells in (grid.heads, *rows):
                    row = table.row()
                    over = bold if grid.told_below and cells is not grid.heads else None
                    for cell in cells[:across]:
                        row.cell(self.fit(cell), style=over)
                    if over:
                        table.row().cell(self._told(grid, cells), colspan=across)

    def _told(self, grid: Grid, cells: tuple[str, ...]) -> str:
        return self.fit(f"{grid.heads[-1]}: {cells[-1]}")

    def _row_heights(self, grid: Grid, widths: tuple[float, ...]) -> list[float]:
        """Return the height of the head and of each row [mm], with the sentences under it."""
        found = []
        for cells in (grid.heads, *grid.rows):
            is_head = cells is grid.heads
            bold = is_head or grid.told_below
            height = max(
                self._cell_height(self.fit(cell), width, bold=bold)
                for cell, width in zip(cells, widths, strict=False)
            )
            if grid.told_below and not is_head:
                height += self._cell_height(self._told(grid, cells), sum(widths), bold=False)
            found.append(height)
        return found

    def _cell_height(self, text: str, width: float, *, bold: bool) -> float:
        pdf = self._pdf
        pdf.set_font(self._font, "B" if bold else "", 8.5)
        room = width - 2 * _CELL_EDGE
        lines = pdf.multi_cell(room, _CELL_LINE, text, dry_run=True, output="LINES", align="L", padding=0)
        assert isinstance(lines, list)  # what was asked for; the library's type names all that it could be
        return len(lines) * _CELL_LINE + 2 * _CELL_EDGE

    def _widths(self, grid: Grid) -> tuple[float, ...]:
        """Return the columns' widths [mm]: no word is broken while there is room, and what is longer gets more."""
        pdf = self._pdf
        room = pdf.w - pdf.l_margin - pdf.r_margin
        need, want = [], []
        for n in range(len(grid.heads) - grid.told_below):
            words, lines = [0.0], [0.0]
            for bold, cell in ((True, grid.heads[n]), *((False, row[n]) for row in grid.rows)):
                pdf.set_font(self._font, "B" if bold else "", 8.5)
                text = self.fit(cell)
                whole = not bold and len(text) <= KEPT_WHOLE
                words += [pdf.get_string_width(word) for word in ([text] if whole else text.split())]
                lines.append(min(pdf.get_string_width(text), _WIDEST_HEAD if bold else _WIDEST))
            need.append(max(words) + _BESIDE)
            want.append(max(*lines, *words) + _BESIDE)
        spare, wished = room - sum(need), sum(want) - sum(need)
        if spare <= 0:
            return tuple(one * room / sum(need) for one in need)
        if spare >= wished:  # enough for all: what is left goes to each alike
            return tuple(most + (spare - wished) / len(want) for most in want)
        share = spare / wished
        return tuple(least + (most - least) * share for least, most in zip(need, want, strict=True))

    def _drawing(self, drawing: Drawing) -> None:
        pdf = self._pdf
        scale = (pdf.w - pdf.l_margin - pdf.r_margin) / drawing.width
        self._keep_together(drawing.height * scale + 8)
        left, top = pdf.l_margin, pdf.get_y()
        for shape in drawing.shapes:
            if isinstance(shape, Line):
                pdf.set_draw_color(shape.colour)
                pdf.set_line_width(shape.width * scale)
                pdf.set_dash_pattern(1.0 if shape.dashed else 0, 0.8 if shape.dashed else 0)
                pdf.line(
                    left + shape.x1 * scale,
                    top + shape.y1 * scale,
                    left + shape.x2 * scale,
                    top + shape.y2 * scale,
                )
            elif isinstance(shape, Dot):
                pdf.set_fill_color(shape.colour)
                pdf.set_draw_color(shape.colour)
                pdf.set_dash_pattern()
                pdf.circle(left + shape.x * scale, top + shape.y * scale, shape.radius * scale, style="F")
            else:
                self._label(shape, left, top, scale)
        pdf.set_dash_pattern()
        pdf.set_y(top + drawing.height * scale + 1)

    def _label(self, shape: Label, left: float, top: float, scale: float) -> None:
        pdf = self._pdf
        text = self.fit(shape.text)
        pdf.set_font(self._font, "", shape.size * scale / _MM_A_POINT)
        pdf.set_text_color(shape.colour)
        shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[shape.anchor] * pdf.get_string_width(text)
        pdf.text(left + shape.x * scale - shift, top + shape.y * scale, text)
