"""From a stored body to the frozen dataclass of its type."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from underboard.core.records.registry import RECORD_TYPES
from underboard.core.records.spec import Quantity, Record

_TUPLES = frozenset({"choices", "refs", "numbers", "taxa", "photos"})


def read_record(type_name: str, body: Mapping[str, Any]) -> Record:
    """Make the dataclass of a body that has passed `check_set`; fields it does not know go to `extra`.

    Raises
    ------
    KeyError
        No such record type.
    """
    found = RECORD_TYPES[type_name]
    known: dict[str, Any] = {}
    extra: dict[str, Any] = {}
    for name, value in body.items():
        field = found.fields.get(name)
        if field is None:
            extra[name] = value
        else:
            known[name] = value if value is None else _read(field.kind, value)
    return found.cls(extra=extra, **known)


def _read(kind: str, value: Any) -> Any:
    if kind == "quantity":
        return Quantity(float(value["value"]), value["unit"])
    if kind == "outline":
        return tuple((float(x), float(y)) for x, y in value)
    return tuple(value) if kind in _TUPLES else value
