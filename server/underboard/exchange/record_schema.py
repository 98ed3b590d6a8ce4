"""JSON Schema (draft 2020-12) of the records, made from their specs: it travels with every bundle."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from underboard.core.records import RECORD_TYPES, Field

_UUID: Final = "^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"
_SHA256: Final = "^[0-9a-f]{64}$"


def records_schema() -> dict[str, Any]:
    """Return the schema of `records.json`. Unknown fields are allowed: they are kept."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Records of one plot",
        "type": "array",
        "items": {
            "type": "object",
            "required": ["id", "type", "body"],
            "properties": {"id": {"type": "string", "pattern": _UUID}, "type": {"enum": list(RECORD_TYPES)}},
            "allOf": [
                {
                    "if": {"properties": {"type": {"const": name}}},
                    "then": {"properties": {"body": {"$ref": f"#/$defs/{name}"}}},
                }
                for name in RECORD_TYPES
            ],
        },
        "$defs": {name: _body(name) for name in RECORD_TYPES},
    }


def _body(name: str) -> dict[str, Any]:
    found = RECORD_TYPES[name]
    return {
        "type": "object",
        "description": found.doc,
        "required": list(found.required),
        "properties": {one.name: _field(one) for one in found.fields.values()},
    }


def _field(field: Field) -> dict[str, Any]:
    shape = {**_shape(field), "description": field.doc}
    return shape if field.required else {"anyOf": [_shape(field), {"type": "null"}], "description": field.doc}


def _shape(field: Field) -> dict[str, Any]:
    if field.kind == "quantity":
        unit = {"enum": list(field.units)}
        value = _bounded(field, "number")
        return {"type": "object", "required": ["value", "unit"], "properties": {"value": value, "unit": unit}}
    if field.kind in ("whole", "number"):
        return _bounded(field, "integer" if field.kind == "whole" else "number")
    if field.kind == "choice":
        return {"enum": list(field.choices)}
    if field.kind == "choices":
        return {"type": "array", "items": {"enum": list(field.choices)}, "uniqueItems": True}
    if field.kind == "numbers":
        return {"type": "array", "items": _bounded(field, "number"), "maxItems": field.max_length}
    if field.kind == "text":
        if field.name == "sha256":
            return {"type": "string", "pattern": _SHA256}
        return {"type": "string", "minLength": 1 if field.required else 0, "maxLength": field.max_length}
    if field.kind in _LISTS:
        return {"type": "array", "items": _LISTS[field.kind], "maxItems": field.max_length}
    return dict(_PLAIN[field.kind])


_PLAIN: Final[Mapping[str, Mapping[str, Any]]] = {
    "yes_no": {"type": "boolean"},
    "instant": {"type": "string", "format": "date-time"},
    "day": {"type": "string", "format": "date"},
    "time_zone": {"type": "string"},
    "ref": {"type": "string", "pattern": _UUID},
    "settings": {"type": "object"},
}
_LISTS: Final[Mapping[str, Mapping[str, Any]]] = {
    "refs": {"type": "string", "pattern": _UUID},
    "outline": {"type": "array", "items": {"type": "number"}, "minItems": 2, "maxItems": 2},
    "taxa": {"type": "object", "required": ["name"]},
    "photos": {
        "type": "object",
        "required": ["sha256"],
        "properties": {"sha256": {"type": "string", "pattern": _SHA256}},
    },
}


def _bounded(field: Field, kind: str) -> dict[str, Any]:
    shape: dict[str, Any] = {"type": kind}
    if field.minimum is not None:
        shape["minimum"] = field.minimum
    if field.maximum is not None:
        shape["maximum"] = field.maximum
    return shape
