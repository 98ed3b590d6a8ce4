"""The columns of a record type in a table: units in the heads, one field in one or two columns, and the way back.

Heads come from the record specs, so a new field has its column by itself. What was typed with its unit (41 °F)
stands beside the same in the unit of the head, because a column of mixed units can't be reckoned with.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Final

from underboard.core.records import RECORD_TYPES, Field
from underboard.core.units import offset_c, temperature_c
from underboard.exchange.holding import Holding, Wire
from underboard.exchange.safe_cells import guarded

Cell = str | int | float | None

#: Unit by the end of a field's name.
_SUFFIXES: Final = (
    ("_m2", "m²"), ("_ml", "ml"), ("_m", "m"), ("_l", "l"), ("_percent", "%"), ("_days", "d"), ("_deg", "°"),
)  # fmt: skip
#: Units of fields whose name does not say it.
_UNITS: Final[Mapping[str, str]] = {
    "latitude": "°", "longitude": "°", "kg": "kg", "small": "slugs", "large": "slugs", "egg_clusters": "clusters",
    "wireworms": "animals", "millipedes": "animals", "leatherjackets": "animals", "centipedes": "animals",
    "found": "animals", "cores": "cores", "examined": "pieces", "damaged": "pieces", "percent_fewer": "%",
    "bytes": "bytes", "dilution": "times", "aliquot_counts": "animals",
}  # fmt: skip
_COUNTS: Final = {"slug_count": "slugs", "crop_event": "pieces"}
_TEMPERATURES: Final = ("degC", "degF")
BOTH: Final = "as entered"


@dataclass(frozen=True)
class Column:
    """One column: its head, the field it is of, which part of the field, and what stands in it."""

    head: str
    field: str
    part: str
    cell: Callable[[Holding, Wire], Cell]


def unit_of(type_name: str, field: Field) -> str | None:
    """Return the unit a number of this field is in, None for plain numbers such as years."""
    if field.name == "count":
        return _COUNTS.get(type_name)
    if field.name in _UNITS:
        return _UNITS[field.name]
    return next((unit for suffix, unit in _SUFFIXES if field.name.endswith(suffix)), None)


@cache
def columns_of(type_name: str) -> tuple[Column, ...]:
    """Return the columns of a type: the record's id, its fields in order, open conflicts, what is not known here."""
    fields = RECORD_TYPES[type_name].fields.values()
    first = Column("record_id", "id", "id", lambda _, record: record["id"])
    last = Column(
        "open conflicts", "conflicts", "number", lambda _, record: len(record.get("conflicts") or ())
    )
    unknown = Column("other fields (JSON)", "extra", "json", lambda _, record: _unknown(type_name, record))
    return (first, *(column for field in fields for column in _columns(type_name, field)), last, unknown)


def _columns(type_name: str, field: Field) -> tuple[Column, ...]:
    name = field.name
    stem = name.replace("_", " ")
    if field.kind == "ref":
        return (
            Column(
                stem.removesuffix(" id"), name, "label", lambda plot, one: plot.label(one["body"].get(name))
            ),
            Column(name, name, "id", lambda _, one: one["body"].get(name)),
        )
    if field.kind == "refs":
        return (
            Column(stem.removesuffix(" ids") + "s", name, "labels",
                   lambda plot, one: "; ".join(plot.labels(one["body"].get(name)))),
            Column(name, name, "ids", lambda _, one: " ".join(one["body"].get(name) or ())),
        )  # fmt: skip
    if field.kind == "quantity" and field.units == _TEMPERATURES:
        return _temperature(name, stem)
    if field.kind == "quantity":
        return (
            Column(stem, name, "value", lambda _, one: (one["body"].get(name) or {}).get("value")),
            Column(f"{stem} unit", name, "unit", lambda _, one: (one["body"].get(name) or {}).get("unit")),
        )
    unit = unit_of(type_name, field)
    short = stem
    for suffix, known in _SUFFIXES:
        if unit == known and name.endswith(suffix):
            short = name.removesuffix(suffix).replace("_", " ")
            break
    head = f"{short} [{unit}]" if unit else stem
    if type_name == "slug_count" and name == "count":
        return (Column(head, name, "count", lambda _, one: slugs_of(one["body"])),)
    return (Column(head, name, field.kind, lambda _, one: _plain(field.kind, one["body"].get(name))),)


def _temperature(name: str, stem: str) -> tuple[Column, ...]:
    reckon = offset_c if name == "offset" else temperature_c

    def celsius(_: Holding, record: Wire) -> Cell:
        quantity = record["body"].get(name)
        found = reckon(quantity) if quantity is not None else None
        return None if found is None else round(found, 4)

    def entered(_: Holding, record: Wire) -> Cell:
        quantity = record["body"].get(name)
        return None if quantity is None else f"{json.dumps(quantity['value'])} {quantity['unit']}"

    unit = "K" if name == "offset" else "°C"
    return Column(f"{stem} [{unit}]", name, "celsius", celsius), Column(
        f"{stem} {BOTH}", name, "entered", entered
    )


def slugs_of(body: Mapping[str, Any]) -> int | None:
    """Return the slugs a board is known to have had: 0 for none found, None where nobody could look."""
    state = body.get("state")
    if state == "none_found":
        return 0
    return body.get("count") if state == "counted" else None


def _plain(kind: str, value: Any) -> Cell:
    if value is None:
        return None
    if kind == "yes_no":
        return "yes" if value else "no"
    if kind == "choices":
        return "; ".join(value)
    if kind == "photos":
        return " ".join(photo["sha256"] for photo in value)
    if kind in ("outline", "numbers", "settings", "taxa"):
        return json.dumps(value, ensure_ascii=False)
    return value  # type: ignore[no-any-return]  # text, number, instant, day: as they are


def _unknown(type_name: str, record: Wire) -> Cell:
    known = RECORD_TYPES[type_name].fields
    rest = {name: value for name, value in record["body"].items() if name not in known}
    return json.dumps(rest, ensure_ascii=False) if rest else None


def shown(cell: Cell) -> Cell:
    """Return a cell as it may be written: text that a spreadsheet would run is made text."""
    return guarded(cell) if isinstance(cell, str) else cell
