"""One frame for all pictures: size, letters, colours, and SVG text that is the same on every machine."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from typing import Any
from xml.sax.saxutils import escape

from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

Given = dict[str, Any]
#: Draws into a figure from the worked example and its answer; returns what the picture says, in one sentence.
Draw = Callable[[Figure, Given, Given], str]

# Okabe & Ito 2008: told apart by everybody, and by lightness when printed grey.
INK, BLUE, ORANGE, GREEN, GREY = "#222222", "#0072b2", "#d55e00", "#009e73", "#8a8a8a"
STYLE = {
    "svg.hashsalt": "underboard", "svg.fonttype": "none", "font.size": 9, "font.family": "DejaVu Sans",
    "axes.spines.top": False, "axes.spines.right": False, "axes.edgecolor": INK, "axes.titlesize": 9,
    "axes.titlelocation": "left", "legend.frameon": False, "legend.fontsize": 8, "lines.linewidth": 1.6,
    "figure.constrained_layout.use": True, "path.simplify": False,
}  # fmt: skip
WIDE, HIGH = 6.4, 3.2


def svg(draw: Draw, given: Given, found: Given) -> str:
    """Draw one picture and return its SVG text."""
    with rc_context(STYLE):
        figure = Figure(figsize=(WIDE, HIGH))
        FigureCanvasSVG(figure)
        says = draw(figure, given, found)
        written = io.StringIO()
        figure.savefig(written, format="svg", metadata={"Date": None, "Creator": None})
    return _tidied(written.getvalue(), says)


def label(plot: Axes, across: str, up: str) -> None:
    """Name both axes; the unit stands in brackets."""
    plot.set_xlabel(across)
    plot.set_ylabel(up)


def _tidied(text: str, says: str) -> str:
    """Without metadata and document type, numbers to a hundredth of a point, and with its sentence as title."""
    text = re.sub(r"<!DOCTYPE.*?>\s*|\s*<metadata>.*?</metadata>|\s*<!--.*?-->", "", text, flags=re.S)
    text = re.sub(r"<[^>]*>", lambda tag: re.sub(r"-?\d+\.\d{3,}", _hundredths, tag[0]), text)
    text = re.sub(r"(<svg [^>]*>)", lambda tag: f"{tag[0]}\n <title>{escape(says)}</title>", text, count=1)
    return "\n".join(line.rstrip() for line in text.splitlines()) + "\n"


def _hundredths(number: re.Match[str]) -> str:
    return f"{float(number[0]):.2f}".rstrip("0").rstrip(".")
