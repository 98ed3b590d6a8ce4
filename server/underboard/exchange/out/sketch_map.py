"""The sketch as GeoJSON (RFC 7946): places as polygons, stations as points, in WGS 84.

The sketch is in metres with its y axis down the page and says where north is. Here its top left corner (0, 0) is
laid on the plot's position and turned so that north is up. Over a plot the Earth is flat enough: the radii of
curvature of WGS 84 (EPSG guidance note 7-2) turn metres into degrees.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

from underboard.core.errors import InputFault
from underboard.exchange.holding import Holding, Wire

_A_M: Final = 6378137.0  # WGS 84, EPSG:7030
_F: Final = 1 / 298.257223563
_DIGITS: Final = 8  # of degrees: about a millimetre
_PLACE_FIELDS: Final = (
    "kind",
    "label",
    "length_m",
    "width_m",
    "area_m2",
    "broken_year",
    "neighbours",
    "archived",
)
_STATION_FIELDS: Final = (
    "kind", "label", "walk_order", "size_m2", "core_diameter_m", "exposure", "depth_m", "set_on", "retired_on",
)  # fmt: skip


@dataclass(frozen=True)
class Frame:
    """Lays sketch metres on the globe around one point."""

    latitude: float
    longitude: float
    north_deg: float

    def degrees(self, x: float, y: float) -> list[float]:
        """Return [longitude, latitude] of a point of the sketch (x right, y down, metres)."""
        turn = math.radians(self.north_deg)
        # North on the page points to (sin, -cos); east is a quarter turn further clockwise.
        north = x * math.sin(turn) - y * math.cos(turn)
        east = x * math.cos(turn) + y * math.sin(turn)
        at = math.radians(self.latitude)
        squared = _F * (2 - _F)
        bend = 1 - squared * math.sin(at) ** 2
        meridian, vertical = _A_M * (1 - squared) / bend**1.5, _A_M / math.sqrt(bend)
        latitude = self.latitude + math.degrees(north / meridian)
        longitude = self.longitude + math.degrees(east / (vertical * math.cos(at)))
        return [round(longitude, _DIGITS), round(latitude, _DIGITS)]


def sketch_map(holding: Holding) -> dict[str, Any]:
    """Return a FeatureCollection of all places with an outline and all stations that were put on the sketch.

    Raises
    ------
    InputFault
        The plot does not say where it lies.
    """
    spot = holding.spot()
    if spot is None or abs(spot.latitude) > 89:
        raise InputFault("/latitude", "A map needs the plot's position: set latitude and longitude first.")
    frame = Frame(spot.latitude, spot.longitude, float(holding.plot.get("north_deg") or 0))
    features = [
        _place(frame, one) for one in holding.of("place") if len(one["body"].get("outline") or ()) >= 3
    ]
    features += [
        _station(frame, holding, one)
        for one in holding.of("station")
        if one["body"].get("x_m") is not None and one["body"].get("y_m") is not None
    ]
    words = (
        "The position is rounded to 0.01 degree, so the whole sketch may lie about 1 km off; sizes are right."
        if spot.blurred
        else "The sketch's top left corner lies on the plot's position."
    )
    return {"type": "FeatureCollection", "features": features, "underboard_note": words}


def _place(frame: Frame, record: Wire) -> dict[str, Any]:
    corners = [(float(x), float(y)) for x, y in record["body"]["outline"]]
    if corners[0] != corners[-1]:
        corners.append(corners[0])
    # On the globe the outer ring goes against the clock (RFC 7946, 3.1.6). The page's y runs down, so a ring whose
    # area is positive there goes with the clock as people see it.
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in pairwise(corners))
    if twice > 0:
        corners.reverse()
    ring = [frame.degrees(x, y) for x, y in corners]
    return _feature(record, {"type": "Polygon", "coordinates": [ring]}, _PLACE_FIELDS)


def _station(frame: Frame, holding: Holding, record: Wire) -> dict[str, Any]:
    body = record["body"]
    point = {"type": "Point", "coordinates": frame.degrees(float(body["x_m"]), float(body["y_m"]))}
    made = _feature(record, point, _STATION_FIELDS)
    made["properties"]["place"] = holding.label(body.get("place_id"))
    return made


def _feature(record: Wire, geometry: Mapping[str, Any], names: tuple[str, ...]) -> dict[str, Any]:
    body = record["body"]
    told = {name: body[name] for name in names if body.get(name) is not None}
    properties = {"type": record["type"], **told}
    return {"type": "Feature", "id": record["id"], "geometry": geometry, "properties": properties}
