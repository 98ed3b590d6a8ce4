"""How large is a place? Metres and square metres in, square metres out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Corner = tuple[float, float]


@dataclass(frozen=True)
class PlaceArea:
    """Area of a place and where the figure comes from."""

    area_m2: float
    source: Literal["measured", "outline", "length_and_width"]


def place_area(
    *,
    area_m2: float | None = None,
    outline: Sequence[Corner] | None = None,
    length_m: float | None = None,
    width_m: float | None = None,
) -> PlaceArea | None:
    """Return the area of a place, or None when nothing tells it.

    Parameters
    ----------
    area_m2
        As measured [m²]; wins over all else.
    outline
        Corners on the sketch [m], in order; wins over length and width.
    length_m, width_m
        Of a rectangle [m].
    """
    if area_m2 is not None and area_m2 > 0:
        return PlaceArea(float(area_m2), "measured")
    if outline is not None and (drawn := outline_area_m2(outline)) > 0:
        return PlaceArea(drawn, "outline")
    if length_m and width_m:
        return PlaceArea(float(length_m) * float(width_m), "length_and_width")
    return None


def outline_area_m2(outline: Sequence[Corner]) -> float:
    """Return the area inside an outline [m²], whichever way round it was drawn.

    Fewer than three corners enclose nothing: 0. Lines that cross each other count twice or cancel.

    References
    ----------
    Surveyor's formula: Braden, B. (1986), The surveyor's area formula, The College Mathematics Journal
    17(4), 326-337.

    Examples
    --------
    >>> outline_area_m2([(0, 0), (4, 0), (4, 1.2), (0, 1.2)])
    4.8
    """
    corners = list(outline)
    doubled = sum(
        x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(corners, corners[1:] + corners[:1], strict=True)
    )
    return abs(doubled) / 2
