"""Every number that was seen on a plot, flat: one observation of one property at one station (ISO 19156).

A board that could not be turned is an observation without a value, never a zero; "none found" is a zero.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from underboard.core.records.counted import standing
from underboard.core.units import temperature_c
from underboard.exchange.holding import Holding, Wire


@dataclass(frozen=True)
class Property:
    """What was observed. `definition` is a public address where there is one; units: UCUM beside what people read."""

    name: str
    words: str
    unit_shown: str
    ucum: str
    definition: str


_CF: Final = "https://vocab.nerc.ac.uk/standard_name/"
SLUGS: Final = Property("slugs", "slugs under a board", "slugs", "{slug}", "")
EGGS: Final = Property("egg_clusters", "clusters of slug eggs under a board", "clusters", "{cluster}", "")
AIR: Final = Property("temperature", "temperature", "°C", "Cel", f"{_CF}air_temperature/")
MAX: Final = Property(
    "temperature_max", "highest temperature since the last reset", "°C", "Cel", AIR.definition
)
MIN: Final = Property(
    "temperature_min", "lowest temperature since the last reset", "°C", "Cel", AIR.definition
)
SOIL: Final = Property("soil_temperature", "soil temperature", "°C", "Cel", f"{_CF}soil_temperature/")
HUMIDITY: Final = Property("humidity", "relative humidity", "%", "%", f"{_CF}relative_humidity/")
DEW: Final = Property("dew_point", "dew point", "°C", "Cel", f"{_CF}dew_point_temperature/")
WET: Final = Property("wet_bulb", "wet-bulb temperature", "°C", "Cel", f"{_CF}wet_bulb_temperature/")
CATCHES: Final = tuple(
    Property(name, f"{name} in a trap", "animals", "{animal}", "")
    for name in ("wireworms", "beetles", "millipedes", "leatherjackets", "centipedes")
)
CORES: Final = Property("wireworms_in_cores", "wireworms in all cores of a sample", "animals", "{animal}", "")
DAMAGED: Final = Property("damaged", "damaged of those examined", "pieces", "{piece}", "")
KILOGRAMS: Final = Property("harvest", "harvest", "kg", "kg", "")


@dataclass(frozen=True, slots=True)
class Observation:
    """One result. `value` is in the unit of the property, None where there is no result (see `state`)."""

    record_id: str
    property: Property
    seen_at: str
    value: float | None
    state: str
    place: str
    station: str
    place_id: str | None
    station_id: str | None
    observer: str
    note: str
    entered_value: float | None
    entered_unit: str
    valid: bool
    disputed: bool


def observations(holding: Holding) -> Iterator[Observation]:
    """Give all observations: boards, traps, cores, thermometers, evenings, damage, harvests; by type and time."""
    doubles = _double_counts(holding)
    for record in holding.seen("slug_count"):
        yield from _board(holding, record, record["id"] in doubles)
    for record in holding.seen("trap_catch"):
        yield from _trap(holding, record)
    for record in holding.seen("soil_sample"):
        yield from _if_given(holding, record, CORES, record["body"].get("found"))
    for record in holding.seen("temperature"):
        yield from _thermometer(holding, record)
    for record in holding.seen("evening"):
        for name, kind in (("air", AIR), ("wet", WET), ("dew", DEW)):
            yield from _warmth(holding, record, kind, record["body"].get(name))
        yield from _if_given(holding, record, HUMIDITY, record["body"].get("humidity_percent"))
    for record in holding.seen("damage"):
        yield from _if_given(holding, record, DAMAGED, record["body"].get("damaged"))
    for record in holding.seen("crop_event"):
        yield from _if_given(holding, record, KILOGRAMS, record["body"].get("kg"))


def _board(holding: Holding, record: Wire, double: bool) -> Iterator[Observation]:
    body = record["body"]
    state = str(body.get("state") or "")
    value = 0 if state == "none_found" else body.get("count") if state == "counted" else None
    disputed = double or bool(record.get("conflicts"))
    yield _make(holding, record, SLUGS, value, state, disputed=disputed)
    if body.get("egg_clusters") is not None:
        yield _make(holding, record, EGGS, body["egg_clusters"], "counted")


def _trap(holding: Holding, record: Wire) -> Iterator[Observation]:
    body = record["body"]
    if not body.get("observed_at"):
        return  # it lies in the ground still
    state = str(body.get("state") or "")
    looked = state in ("counted", "none_found")
    of_beetles = holding.body(body.get("station_id")).get("kind") == "beetle_trap"
    for kind in CATCHES:
        number = body.get(kind.name)
        if kind.name == ("beetles" if of_beetles else "wireworms"):
            number = 0 if state == "none_found" and number is None else number if looked else None
            yield _make(holding, record, kind, number, state)
        elif number is not None and looked:
            yield _make(holding, record, kind, number, state)
    yield from _warmth(holding, record, SOIL, body.get("soil"))


def _thermometer(holding: Holding, record: Wire) -> Iterator[Observation]:
    body = record["body"]
    in_soil = holding.body(body.get("station_id")).get("exposure") == "soil"
    for name, kind in (("current", SOIL if in_soil else AIR), ("max", MAX), ("min", MIN)):
        yield from _warmth(holding, record, kind, body.get(name))
    yield from _if_given(holding, record, HUMIDITY, body.get("humidity_percent"))


def _warmth(
    holding: Holding, record: Wire, kind: Property, quantity: Mapping[str, Any] | None
) -> Iterator[Observation]:
    found = temperature_c(quantity)
    if quantity is not None and found is not None:
        entered = (float(quantity["value"]), str(quantity["unit"]))
        yield _make(holding, record, kind, round(found, 4), "counted", entered=entered)


def _if_given(holding: Holding, record: Wire, kind: Property, value: float | None) -> Iterator[Observation]:
    if value is not None:
        yield _make(holding, record, kind, value, "counted")


def _make(
    holding: Holding,
    record: Wire,
    kind: Property,
    value: float | None,
    state: str,
    *,
    entered: tuple[float | None, str] = (None, ""),
    disputed: bool | None = None,
) -> Observation:
    body = record["body"]
    place_id, station_id = holding.place_of(body), body.get("station_id")
    return Observation(
        record_id=record["id"],
        property=kind,
        seen_at=str(body.get("observed_at") or ""),
        value=value,
        state=state,
        place=holding.label(place_id),
        station=holding.label(station_id),
        place_id=place_id,
        station_id=station_id,
        observer=str(body.get("observer") or ""),
        note=str(body.get("note") or ""),
        entered_value=entered[0],
        entered_unit=entered[1],
        valid=holding.body(body.get("round_id")).get("valid") is not False,
        disputed=bool(record.get("conflicts")) if disputed is None else disputed,
    )


def _double_counts(holding: Holding) -> set[str]:
    """Return the ids of counts of which two stand for one board and nobody has said which."""
    grouped: dict[tuple[Any, Any], list[Mapping[str, Any]]] = {}
    for record in holding.of("slug_count"):
        key = (record["body"].get("round_id"), record["body"].get("station_id"))
        grouped.setdefault(key, []).append(record)
    return {
        record["id"]
        for key, records in grouped.items()
        if key[0] is not None and len(records) > 1 and standing(records)[1]
        for record in records
    }
