"""One schema for each record type, made from the core's specs.

A schema describes `set` of a push operation. Creating asks for the required fields; an edit may hold any of
them; null clears a field that is not required; unknown fields are kept.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, Final, cast

from marshmallow import INCLUDE, RAISE, Schema, fields, validate

from underboard.core.records import RECORD_TYPES
from underboard.core.records.spec import Field, RecordType
from underboard.web.schemas.kinds import (
    SHA256_SHAPE,
    Day,
    Decimal,
    Different,
    FreeObject,
    Instant,
    Items,
    Text,
    TimeZone,
    Whole,
    YesNo,
    uuid_text,
)

AnyField = fields.Field[Any]
_FORMATS: Final = {"instant": "date-time", "day": "date"}


def class_name(type_name: str) -> str:
    """`slug_count` → `SlugCount`."""
    return "".join(part.capitalize() for part in type_name.split("_"))


@cache
def record_schema(type_name: str) -> type[Schema]:
    """The schema class of one record type, called like it (`SlugCount`)."""
    record: RecordType = RECORD_TYPES[type_name]
    members: dict[str, Any] = {name: marshmallow_field(field) for name, field in record.fields.items()}
    members["Meta"] = type("Meta", (), {"unknown": INCLUDE})
    members["__doc__"] = record.doc
    return type(class_name(type_name) + "Schema", (Schema,), members)


def marshmallow_field(field: Field) -> AnyField:
    """The marshmallow field for one spec."""
    metadata = {"description": field.doc}
    if field.kind in _FORMATS:
        metadata["format"] = _FORMATS[field.kind]
    options: dict[str, Any] = {
        "required": field.required,
        "allow_none": not field.required,
        "metadata": metadata,
    }
    return cast(AnyField, _MAKERS[field.kind](field, options))


def _text(field: Field, options: dict[str, Any]) -> AnyField:
    return Text(validate=validate.Length(max=field.max_length), **options)


def _choice(field: Field, options: dict[str, Any]) -> AnyField:
    return Text(validate=validate.OneOf(field.choices), **options)


def _choices(field: Field, options: dict[str, Any]) -> AnyField:
    inner = Text(validate=validate.OneOf(field.choices))
    return Items(inner, validate=[validate.Length(max=field.max_length), Different()], **options)


def _bounds(field: Field) -> validate.Range:
    return validate.Range(min=field.minimum, max=field.maximum)


def _refs(field: Field, options: dict[str, Any]) -> AnyField:
    return Items(uuid_text(), validate=validate.Length(max=field.max_length), **options)


def _quantity(field: Field, options: dict[str, Any]) -> AnyField:
    inner: dict[str, AnyField] = {
        "value": Decimal(required=True, validate=_bounds(field)),
        "unit": Text(required=True, validate=validate.OneOf(field.units)),
    }
    return fields.Nested(
        _named(f"Quantity_{'_'.join(field.units)}_{field.minimum}_{field.maximum}", inner), **options
    )


def _taxa(field: Field, options: dict[str, Any]) -> AnyField:
    inner: dict[str, AnyField] = {
        "name": Text(required=True, validate=validate.Length(1, 200)),
        "count": Whole(required=True, validate=validate.Range(0, 9999)),
    }
    return Items(
        fields.Nested(_named("Taxon", inner)), validate=validate.Length(max=field.max_length), **options
    )


def _photos(field: Field, options: dict[str, Any]) -> AnyField:
    inner: dict[str, AnyField] = {
        "sha256": Text(required=True, validate=validate.Regexp(SHA256_SHAPE)),
        "bytes": Whole(required=True, validate=validate.Range(min=1)),
    }
    return Items(
        fields.Nested(_named("PhotoRef", inner)), validate=validate.Length(max=field.max_length), **options
    )


def _outline(field: Field, options: dict[str, Any]) -> AnyField:
    point = Items(Decimal(validate=_bounds(field)), validate=validate.Length(equal=2))
    return Items(point, validate=validate.Length(max=field.max_length), **options)


def _numbers(field: Field, options: dict[str, Any]) -> AnyField:
    inner = Decimal(validate=_bounds(field))
    return Items(inner, validate=validate.Length(max=field.max_length), **options)


_MAKERS: Final[Mapping[str, Any]] = {
    "text": _text,
    "choice": _choice,
    "choices": _choices,
    "whole": lambda field, options: Whole(validate=_bounds(field), **options),
    "number": lambda field, options: Decimal(validate=_bounds(field), **options),
    "yes_no": lambda field, options: YesNo(**options),
    "instant": lambda field, options: Instant(**options),
    "day": lambda field, options: Day(**options),
    "time_zone": lambda field, options: TimeZone(**options),
    "ref": lambda field, options: uuid_text(**options),
    "refs": _refs,
    "quantity": _quantity,
    "taxa": _taxa,
    "photos": _photos,
    "outline": _outline,
    "numbers": _numbers,
    "settings": lambda field, options: FreeObject(**options),
}

_NAMED: dict[str, type[Schema]] = {}


def _named(name: str, members: dict[str, AnyField]) -> type[Schema]:
    """One schema class per name, so that the OpenAPI document doesn't repeat it."""
    if name not in _NAMED:
        _NAMED[name] = type(
            name + "Schema", (Schema,), {**members, "Meta": type("Meta", (), {"unknown": RAISE})}
        )
    return _NAMED[name]
