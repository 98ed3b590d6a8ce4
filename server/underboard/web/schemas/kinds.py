"""Strict fields: JSON types are taken as they are, never bent ("7" is not 7, 1 is not true)."""

from __future__ import annotations

import math
import re
import zoneinfo
from collections.abc import Mapping
from datetime import date, datetime
from functools import cache
from typing import Any, Final

from marshmallow import ValidationError, fields, validate

UUID_SHAPE: Final = "^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"
SHA256_SHAPE: Final = "^[0-9a-f]{64}$"
_INSTANT: Final = re.compile(
    r"\d{4}-\d{2}-\d{2}[Tt]\d{2}:\d{2}:\d{2}(?:\.\d{1,9})?(?:[Zz]|[+-]\d{2}:\d{2})", re.ASCII
)
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}", re.ASCII)
# an offset bigger than a day exists nowhere on Earth (ISO 8601 allows up to 23:59)
OddText: Final = re.compile("[\0\ud800-\udfff]")


class Text(fields.String):
    """Text without NUL and without lone halves of surrogate pairs."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str) or OddText.search(value):
            raise self.make_error("invalid")
        return value


class Whole(fields.Integer):
    """A JSON number without a fraction."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> int:
        if type(value) is not int:
            raise self.make_error("invalid", input=value)
        return value


class Decimal(fields.Float):
    """Any finite JSON number."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> float:
        if type(value) not in (int, float) or not _is_finite(value):
            raise self.make_error("invalid", input=value)
        return value  # type: ignore[no-any-return]  # narrowed by the line above


class YesNo(fields.Boolean):
    """true or false."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> bool:
        if not isinstance(value, bool):
            raise self.make_error("invalid", input=value)
        return value


class Instant(fields.String):
    """RFC 3339 date and time with an offset, kept as it was written."""

    default_error_messages = {
        "invalid": "Not a date and time with an offset, such as 2026-11-25T07:10:00+01:00."
    }

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str) or not _INSTANT.fullmatch(value):
            raise self.make_error("invalid")
        try:
            datetime.fromisoformat(value.upper())
        except ValueError:
            raise self.make_error("invalid") from None
        return value


class Day(fields.String):
    """A local date, YYYY-MM-DD."""

    default_error_messages = {"invalid": "Not a date such as 2026-11-25."}

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str) or not _DAY.fullmatch(value):
            raise self.make_error("invalid")
        try:
            date.fromisoformat(value)
        except ValueError:
            raise self.make_error("invalid") from None
        return value


class TimeZone(fields.String):
    """A name of the IANA time zone database."""

    default_error_messages = {"invalid": "Not a time zone name such as Europe/London."}

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str) or value not in _zones():
            raise self.make_error("invalid")
        return value


class Items(fields.List[Any]):
    """A JSON list; other things that can be walked through are not lists."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> list[Any]:
        if not isinstance(value, list):
            raise self.make_error("invalid")
        return super()._deserialize(value, attr, data, **kwargs)


class FreeObject(fields.Dict):
    """A JSON object with anything inside."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> dict[Any, Any]:
        if not isinstance(value, Mapping):
            raise self.make_error("invalid")
        return dict(value)


class Different(validate.Validator):
    """No entry twice."""

    def __call__(self, value: list[Any]) -> list[Any]:
        if any(entry in value[:place] for place, entry in enumerate(value)):
            raise ValidationError("Each only once.")
        return value


def uuid_text(**options: Any) -> fields.String:
    """A UUID in its usual lower-case form."""
    return Text(validate=validate.Regexp(UUID_SHAPE, error="Not a UUID."), **options)


def _is_finite(value: float) -> bool:
    try:
        return math.isfinite(value)
    except OverflowError:  # a whole number too long for a float
        return False


@cache
def _zones() -> frozenset[str]:
    return frozenset(zoneinfo.available_timezones())
