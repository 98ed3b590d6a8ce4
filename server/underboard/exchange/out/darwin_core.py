"""A Darwin Core archive (TDWG, Darwin Core Text Guide) with events as its core.

A round is an event; each board turned and each trap lifted is an event inside it, with how it was sampled, the size
of the sample with its unit, and the effort. What was found is in the extension of occurrences: "none found" is an
absence. A board that could not be turned, or a spoiled one, is an event without occurrences: nothing is claimed.
Names of people and free words stay at home.
"""

from __future__ import annotations

import io
import math
import zipfile
from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any, Final

from underboard.core.records.counted import standing
from underboard.core.units import temperature_c
from underboard.exchange.holding import COARSE_DEG, Holding, Spot, Wire
from underboard.exchange.out.darwin_core_files import (
    EVENT,
    FACT,
    OCCURRENCE,
    Row,
    eml_xml,
    meta_xml,
    table_text,
)

_BOARD: Final = "slug refuge board lying on the soil, turned and the slugs under it counted"
_TRAP: Final = "bait trap buried in the soil, lifted and the soil animals in it counted"
_BEETLE: Final = "click beetle trap, emptied and counted"
_ROUNDS: Final = {"dawn": "walk past slug boards at dawn", "trap": "walk past traps"}
_SLUG: Final = {"scientificName": "Stylommatophora", "taxonRank": "order", "vernacularName": "slugs"}
# What a grower tells apart by eye; no finer than that.
_ANIMALS: Final[Mapping[str, Mapping[str, str]]] = {
    "wireworms": {
        "scientificName": "Elateridae", "taxonRank": "family", "vernacularName": "wireworms", "lifeStage": "larva",
    },
    "millipedes": {"scientificName": "Diplopoda", "taxonRank": "class", "vernacularName": "millipedes"},
    "leatherjackets": {
        "scientificName": "Tipulidae", "taxonRank": "family", "vernacularName": "leatherjackets", "lifeStage": "larva",
    },
    "centipedes": {"scientificName": "Chilopoda", "taxonRank": "class", "vernacularName": "centipedes"},
    "beetles": {
        "scientificName": "Elateridae", "taxonRank": "family", "vernacularName": "click beetles", "lifeStage": "adult",
    },
}  # fmt: skip
_LOOKED: Final = ("counted", "none_found")
_METRES_A_DEGREE: Final = 111_320.0  # along the equator, WGS 84


def darwin_core(holding: Holding, made_at: datetime) -> bytes:
    """Return the archive: meta.xml, eml.xml, event.txt, occurrence.txt, measurementorfact.txt."""
    events = list(_events(holding))
    files = {
        "meta.xml": meta_xml(),
        "eml.xml": eml_xml(holding, events, made_at),
        EVENT.file: table_text(EVENT, events),
        OCCURRENCE.file: table_text(OCCURRENCE, _occurrences(holding)),
        FACT.file: table_text(FACT, _facts(holding)),
    }
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in files.items():
            archive.writestr(name, text)
    return out.getvalue()


def _boards(holding: Holding) -> list[Wire]:
    """Return the counts that stand: of a double count that nobody has settled, none does."""
    grouped: dict[tuple[Any, Any], list[Mapping[str, Any]]] = {}
    for record in holding.seen("slug_count"):
        body = record["body"]
        alone = record["id"] if body.get("round_id") is None else None
        grouped.setdefault((body.get("round_id") or alone, body.get("station_id")), []).append(record)
    return [found for records in grouped.values() if (found := standing(records)[0]) is not None]


def _traps(holding: Holding) -> list[Wire]:
    return [one for one in holding.seen("trap_catch") if one["body"].get("observed_at")]


def _events(holding: Holding) -> Iterator[Row]:
    place = _location(holding)
    for walk in holding.seen("round"):
        kind = walk["body"].get("kind")
        if kind in _ROUNDS:
            said = "the grower marked this round as not valid" if walk["body"].get("valid") is False else ""
            yield {
                **place, "eventID": walk["id"], "eventType": "Survey", "eventDate": _when(walk["body"]),
                "samplingProtocol": _ROUNDS[kind], "eventRemarks": said, "locationID": holding.plot_id,
            }  # fmt: skip
    for record in _boards(holding):
        yield {**place, **_board_event(holding, record)}
    for record in _traps(holding):
        yield {**place, **_trap_event(holding, record)}


def _board_event(holding: Holding, record: Wire) -> Row:
    body, board = record["body"], holding.body(record["body"].get("station_id"))
    return {
        **_visit(holding, record), "samplingProtocol": _BOARD,
        **_size(board.get("size_m2"), "square metre"),
        "samplingEffort": "1 board turned once" if body.get("state") in _LOOKED else "0 boards turned",
    }  # fmt: skip


def _trap_event(holding: Holding, record: Wire) -> Row:
    body, trap = record["body"], holding.body(record["body"].get("station_id"))
    days = _days(body)
    core = trap.get("core_diameter_m")
    effort = "0 traps lifted"
    if body.get("state") in _LOOKED:
        effort = "1 trap lifted" if days is None else f"1 trap for {days:.1f} days"
    return {
        **_visit(holding, record),
        "samplingProtocol": _BEETLE if trap.get("kind") == "beetle_trap" else _TRAP,
        **_size(None if not core else round(math.pi * float(core) ** 2 / 4, 5), "square metre"),
        "samplingEffort": effort,
    }


def _visit(holding: Holding, record: Wire) -> Row:
    body = record["body"]
    state = str(body.get("state") or "")
    parent = body.get("round_id")
    told = {"not_turned": "could not be looked at: no sample", "spoiled": "spoiled: no sample"}
    return {
        "eventID": record["id"],
        "parentEventID": str(parent) if holding.body(parent).get("kind") in _ROUNDS else "",
        "eventType": "Sample",
        "eventDate": _when(body),
        "locationID": str(body.get("station_id") or ""),
        "eventRemarks": told.get(state, ""),
    }


def _size(value: float | None, unit: str) -> Row:
    """Value and unit go together, or both stay away."""
    return {"sampleSizeValue": "", "sampleSizeUnit": ""} if not value else {
        "sampleSizeValue": f"{float(value):.10g}", "sampleSizeUnit": unit,
    }  # fmt: skip


def _occurrences(holding: Holding) -> Iterator[Row]:
    for record in _boards(holding):
        body = record["body"]
        if body.get("state") not in _LOOKED:
            continue
        number = 0 if body["state"] == "none_found" else int(body.get("count") or 0)
        yield _found(record["id"], "slugs", number, _SLUG)
        for place, taxon in enumerate(body.get("taxa") or ()):
            if taxon.get("count") is not None:
                named = {
                    "scientificName": "Stylommatophora",
                    "taxonRank": "order",
                    "verbatimIdentification": taxon["name"],
                }
                remark = "Name as the grower wrote it; included in the total of this event."
                yield {
                    **_found(record["id"], f"taxon-{place}", int(taxon["count"]), named),
                    "occurrenceRemarks": remark,
                }
    for record in _traps(holding):
        body = record["body"]
        if body.get("state") not in _LOOKED:
            continue
        for name, animal in _ANIMALS.items():
            number = body.get(name)
            if number is None and name == _sought(holding, body) and body["state"] == "none_found":
                number = 0
            if number is not None:
                yield _found(record["id"], name, int(number), animal)


def _sought(holding: Holding, body: Mapping[str, Any]) -> str:
    """What an empty trap was empty of."""
    kind = holding.body(body.get("station_id")).get("kind")
    return "beetles" if kind == "beetle_trap" else "wireworms"


def _found(event_id: str, what: str, number: int, animal: Mapping[str, str]) -> Row:
    return {
        "eventID": event_id, "occurrenceID": f"{event_id}:{what}", "basisOfRecord": "HumanObservation",
        "occurrenceStatus": "present" if number else "absent", "individualCount": str(number),
        "organismQuantity": str(number), "organismQuantityType": "individuals", "kingdom": "Animalia", **animal,
    }  # fmt: skip


def _facts(holding: Holding) -> Iterator[Row]:
    walks = [one for one in holding.seen("round") if one["body"].get("kind") in _ROUNDS]
    told = [(one, "night_low", "lowest air temperature of the night before") for one in walks]
    told += [(one, "soil", "soil temperature at lifting") for one in _traps(holding)]
    for record, name, words in told:
        celsius = temperature_c(record["body"].get(name))
        if celsius is not None:
            yield {
                "eventID": record["id"], "measurementID": f"{record['id']}:{name}", "measurementType": words,
                "measurementValue": f"{round(celsius, 4):.10g}", "measurementUnit": "°C",
            }  # fmt: skip
    for record in walks:
        surface = record["body"].get("surface")
        if surface:
            yield {
                "eventID": record["id"], "measurementID": f"{record['id']}:surface",
                "measurementType": "wetness of the soil surface", "measurementValue": str(surface),
                "measurementUnit": "",
            }  # fmt: skip


def _location(holding: Holding) -> Row:
    spot = holding.spot()
    shared: Row = {
        "datasetName": str(holding.plot.get("name") or ""),
        "informationWithheld": "names of observers and free notes",
    }
    if spot is None:
        return shared
    return {
        **shared,
        "decimalLatitude": f"{spot.latitude:.6f}".rstrip("0").rstrip("."),
        "decimalLongitude": f"{spot.longitude:.6f}".rstrip("0").rstrip("."),
        "geodeticDatum": "EPSG:4326",
        "coordinateUncertaintyInMeters": str(uncertainty_m(spot)),
        "coordinatePrecision": str(COARSE_DEG) if spot.blurred else "0.000001",
        "dataGeneralizations": "Coordinates rounded to 0.01 degree." if spot.blurred else "",
    }


def uncertainty_m(spot: Spot) -> int:
    """Return how far off the place may be [m]: half a rounding step both ways and 100 m of plot."""
    if not spot.blurred:
        return 100
    half = COARSE_DEG / 2 * _METRES_A_DEGREE
    return math.ceil(math.hypot(half, half * math.cos(math.radians(spot.latitude)))) + 100


def _when(body: Mapping[str, Any]) -> str:
    """An instant, or from set to lifted as an ISO 8601 interval."""
    seen = str(body.get("observed_at") or "")
    return f"{body['set_at']}/{seen}" if body.get("set_at") and seen else seen


def _days(body: Mapping[str, Any]) -> float | None:
    if not body.get("set_at"):
        return None
    laid = datetime.fromisoformat(str(body["observed_at"])) - datetime.fromisoformat(str(body["set_at"]))
    return laid.total_seconds() / 86400 if laid.total_seconds() > 0 else None
