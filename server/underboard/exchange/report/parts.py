"""What a report is made of, before it is a page or a PDF."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

#: A cell of so many letters is a date or a number with its interval: it stays on one line.
KEPT_WHOLE: Final = 17

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True)
class Line:
    """A straight line between two points."""

    x1: float
    y1: float
    x2: float
    y2: float
    colour: str
    width: float = 1.0
    dashed: bool = False


@dataclass(frozen=True)
class Dot:
    """A filled circle."""

    x: float
    y: float
    radius: float
    colour: str


@dataclass(frozen=True)
class Label:
    """A short text; `y` is its base line."""

    x: float
    y: float
    text: str
    size: float
    anchor: Anchor = "start"
    colour: str = "#1f1a14"


Shape = Line | Dot | Label


@dataclass(frozen=True)
class Drawing:
    """Shapes on a canvas; x to the right, y down."""

    width: float
    height: float
    shapes: tuple[Shape, ...]


@dataclass(frozen=True)
class Words:
    """A paragraph. A caution stands out."""

    text: str
    caution: bool = False


@dataclass(frozen=True)
class Grid:
    """A table. Every head says its unit; an empty cell says that nothing is known.

    `told_below`: the last column is sentences, which stand under their row, as wide as the sheet.
    """

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    told_below: bool = False


@dataclass(frozen=True)
class Picture:
    """A drawing and the sentence that says what it shows; its numbers stand in a table beside it."""

    drawing: Drawing
    words: str


Block = Words | Grid | Picture


@dataclass(frozen=True)
class Section:
    """A heading and what stands below it."""

    title: str
    blocks: tuple[Block, ...]


@dataclass(frozen=True)
class Report:
    """A whole report."""

    title: str
    subtitle: str
    sections: tuple[Section, ...]
    foot: str
    language: str = "en"
