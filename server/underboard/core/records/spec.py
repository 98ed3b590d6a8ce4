"""How a record type is written down: one `Field` per field, kept as metadata of a frozen dataclass.

The same specs give the checks (`check.py`), the JSON Schemas of the web, the TypeScript types of the phone
and the columns of exports, so a field is described once.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypeVar

Kind = Literal[
    "text",  # Unicode text, at most `max_length` letters
    "choice",  # one of `choices`
    "choices",  # a list of different `choices`
    "whole",  # whole number
    "number",  # finite number
    "yes_no",
    "instant",  # RFC 3339 date and time with an offset
    "day",  # local date, YYYY-MM-DD
    "time_zone",  # IANA name
    "ref",  # UUID of another record; `target` says of which type
    "refs",  # list of those
    "quantity",  # {"value": number, "unit": one of `units`}
    "taxa",  # [{"name": text, "count": whole number}]
    "photos",  # [{"sha256": 64 hex digits, "bytes": whole number}]
    "outline",  # [[x, y], …] in metres on the sketch
    "numbers",  # list of finite numbers
    "settings",  # JSON object, free inside
]

T = TypeVar("T")


@dataclass(frozen=True, kw_only=True)
class Field:
    """What one field of a record may hold.

    `minimum` and `maximum` bound numbers (for a quantity, its value in any unit), both included;
    `max_length` bounds text (letters) and lists (entries). `required` means: must be there when the record
    is made. Any field that is not required may be null, which says "cleared".
    """

    name: str = ""
    kind: Kind
    doc: str
    required: bool = False
    choices: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    minimum: float | None = None
    maximum: float | None = None
    max_length: int = 200
    target: str = ""


def spec(kind: Kind, doc: str, **rules: Any) -> Any:
    """Give a dataclass field (default None) that carries its `Field`; for use in record classes only."""
    return dataclasses.field(default=None, metadata={"spec": Field(kind=kind, doc=doc, **rules)})


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number as it was entered, with the unit it was entered in. Never converted in storage."""

    value: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class Record:
    """What every record may carry. Fields that this version does not know are kept in `extra`."""

    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)
    note: str | None = spec("text", "Free words.", max_length=4000)
    returned_from: str | None = spec("ref", "The removed record that this one brings back.")
    import_id: str | None = spec("ref", "The import that brought it in; its note has this id.")


@dataclass(frozen=True)
class RecordType:
    """One record type: its name on the wire, its class and its fields in order."""

    name: str
    cls: type[Record]
    doc: str
    fields: Mapping[str, Field]
    server_written: bool = False

    @property
    def required(self) -> tuple[str, ...]:
        """Names of the fields that must be there when a record is made."""
        return tuple(name for name, field in self.fields.items() if field.required)


def record_type(name: str, *, server_written: bool = False) -> Callable[[type[T]], type[T]]:
    """Mark a dataclass as the record type `name`; `describe` then reads it."""

    def mark(cls: type[T]) -> type[T]:
        cls.wire_name = name  # type: ignore[attr-defined]  # read back by describe() alone
        cls.server_written = server_written  # type: ignore[attr-defined]
        return cls

    return mark


def describe(cls: type[Record]) -> RecordType:
    """Read the specs of a marked class."""
    fields = {
        field.name: dataclasses.replace(field.metadata["spec"], name=field.name)
        for field in dataclasses.fields(cls)
        if "spec" in field.metadata
    }
    # These stand first because they are inherited; people expect them last.
    for name in ("note", "returned_from", "import_id"):
        fields[name] = fields.pop(name)
    return RecordType(
        name=cls.wire_name,  # type: ignore[attr-defined]
        cls=cls,
        doc=" ".join((cls.__doc__ or "").split()),
        fields=fields,
        server_written=cls.server_written,  # type: ignore[attr-defined]
    )
