"""Observations in the shape of the OGC SensorThings API 1.1, Part 1: Sensing (OGC 18-088), expanded from the Thing.

One Thing is the plot; a Datastream is one property at one station or place. A result that does not exist (a board
that could not be turned) is null with its state among the parameters, because the standard has no other place for
it. `resultQuality` says what is disputed.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from itertools import groupby
from typing import IO, Any, Final

from underboard.exchange.holding import Holding
from underboard.exchange.out.observations import Observation, observations

MEASUREMENT: Final = "http://www.opengis.net/def/observationType/OGC-OM/2.0/OM_Measurement"
COUNT: Final = "http://www.opengis.net/def/observationType/OGC-OM/2.0/OM_CountObservation"
UCUM: Final = "http://unitsofmeasure.org/ucum#"


def write_sensor_things(out: IO[bytes], holding: Holding) -> None:
    """Write the plot as one Thing with its Locations and Datastreams, each with its Observations.

    A Datastream at a time, so that ten years of a plot do not stand in memory twice.
    """
    found = sorted(observations(holding), key=_stream_key)
    head = json.dumps(_thing(holding), ensure_ascii=False)
    out.write(f'{{"value": [{head[:-1]}, "Datastreams": ['.encode())
    for number, (key, group) in enumerate(groupby(found, key=_stream_key)):
        text = json.dumps(_stream(holding, key, list(group)), ensure_ascii=False)
        out.write(f"{',' if number else ''}\n{text}".encode())
    out.write(b"\n]}]}\n")


def _thing(holding: Holding) -> dict[str, Any]:
    return {
        "@iot.id": holding.plot_id,
        "name": str(holding.plot.get("name") or holding.plot_id),
        "description": "A plot where food is grown; slugs, wireworms and temperatures are recorded.",
        "properties": {"invented": bool(holding.plot.get("invented"))},
        "Locations": _locations(holding),
    }


def _stream_key(one: Observation) -> tuple[str, str]:
    return one.station_id or one.place_id or "", one.property.name


def _locations(holding: Holding) -> list[dict[str, Any]]:
    spot = holding.spot()
    if spot is None:
        return []
    words = "Rounded to 0.01 degree." if spot.blurred else "As the owner gave it."
    point = {"type": "Point", "coordinates": [spot.longitude, spot.latitude]}
    return [
        {
            "@iot.id": f"{holding.plot_id}/location",
            "name": "Where the plot lies",
            "description": words,
            "encodingType": "application/geo+json",
            "location": point,
        }
    ]


def _stream(holding: Holding, key: tuple[str, str], found: Sequence[Observation]) -> dict[str, Any]:
    where_id, name = key
    kind = found[0].property
    where = holding.label(where_id) or "the plot"
    at = sorted(one.seen_at for one in found)
    return {
        "@iot.id": f"{where_id or holding.plot_id}/{name}",
        "name": f"{kind.words}, {where}",
        "description": f"{kind.words} at {where}, {found[0].place or 'no place given'}",
        "observationType": COUNT if kind.ucum.startswith("{") else MEASUREMENT,
        "unitOfMeasurement": {"name": kind.unit_shown, "symbol": kind.ucum, "definition": UCUM},
        "phenomenonTime": f"{at[0]}/{at[-1]}",
        "ObservedProperty": {
            "@iot.id": name,
            "name": kind.words,
            "definition": kind.definition or f"urn:underboard:property:{name}",
            "description": kind.words,
        },
        "Sensor": _sensor(holding, where_id, where),
        "Observations": [
            _observation(one) for one in sorted(found, key=lambda one: (one.seen_at, one.record_id))
        ],
    }


def _sensor(holding: Holding, where_id: str, where: str) -> dict[str, Any]:
    body = holding.body(where_id)
    told = [str(body[name]) for name in ("kind", "exposure", "material", "bait") if body.get(name)]
    return {
        "@iot.id": f"{where_id or holding.plot_id}/sensor",
        "name": where,
        "description": ", ".join(told) or "people looking",
        "encodingType": "text/plain",
        "metadata": ", ".join(told) or "people looking",
    }


def _observation(one: Observation) -> dict[str, Any]:
    parameters: dict[str, Any] = {"state": one.state, "round_valid": one.valid}
    if one.entered_unit:
        parameters["as_entered"] = {"value": one.entered_value, "unit": one.entered_unit}
    return {
        "@iot.id": f"{one.record_id}/{one.property.name}",
        "phenomenonTime": one.seen_at,
        "resultTime": one.seen_at,
        "result": one.value,
        "resultQuality": "disputed" if one.disputed else "as recorded",
        "parameters": parameters,
    }
