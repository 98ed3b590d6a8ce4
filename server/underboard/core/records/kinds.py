"""One check for each kind of field, made once from its spec.

A check answers an empty tuple when the value is fine, or pairs of (rest of the JSON pointer, what would be
right).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from datetime import date, datetime
from functools import cache
from typing import Any
from zoneinfo import available_timezones

from underboard.core.records.spec import Field

Wrong = tuple[tuple[str, str], ...]
Check = Callable[[Any], Wrong]

_FINE: Wrong = ()
_UUID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}").fullmatch
_SHA256 = re.compile(r"[0-9a-f]{64}").fullmatch
# RFC 3339 section 5.6, without leap seconds, which no phone gives out and datetime cannot hold.
_INSTANT = re.compile(
    r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?(Z|[+-]([01]\d|2[0-3]):[0-5]\d)", re.ASCII
).fullmatch
_DAY = re.compile(r"\d{4}-\d\d-\d\d").fullmatch
_FRACTION = re.compile(r"\.\d+")


def is_id(value: object) -> bool:
    """Whether the value is a UUID in its usual lower-case spelling (RFC 9562 section 4)."""
    return isinstance(value, str) and _UUID(value) is not None


def is_instant(value: object) -> bool:
    """Whether the value is an RFC 3339 date and time with an offset that exists in the calendar."""
    if type(value) is not str or _INSTANT(value) is None:
        return False
    try:
        # The calendar is asked for what stands before the fraction; the pattern has seen to the rest.
        datetime.fromisoformat(value[:19])
    except ValueError:
        return False
    return True


def read_instant(text: str) -> datetime:
    """Read an RFC 3339 instant; finer than a microsecond is cut off.

    Raises
    ------
    ValueError
        The text is no instant.
    """
    if "." in text:
        text = _FRACTION.sub(lambda found: found.group()[:7].ljust(7, "0"), text, count=1)
    return datetime.fromisoformat(text)


def check_of(field: Field) -> Check:
    """Make the check of a field; it is not asked about null."""
    return _BUILDERS[field.kind](field)


def _text(field: Field) -> Check:
    shortest, longest = (1 if field.required else 0), field.max_length

    def check(value: Any) -> Wrong:
        if not isinstance(value, str):
            return (("", "text"),)
        if not shortest <= len(value) <= longest:
            return (("", f"{shortest} to {longest} letters"),)
        if "\x00" in value or not (value.isascii() or _encodable(value)):
            return (("", "text without characters that cannot be stored"),)
        return _FINE

    if field.name == "sha256":
        return lambda value: _FINE if isinstance(value, str) and _SHA256(value) else (("", "64 hex digits"),)
    return check


def _encodable(value: str) -> bool:
    try:
        value.encode()
    except UnicodeEncodeError:  # half of a surrogate pair
        return False
    return True


def _choice(field: Field) -> Check:
    allowed, wrong = frozenset(field.choices), (("", f"one of {', '.join(field.choices)}"),)
    return lambda value: _FINE if isinstance(value, str) and value in allowed else wrong


def _choices(field: Field) -> Check:
    wrong = (("", f"a list of different ones of {', '.join(field.choices)}"),)

    def check(value: Any) -> Wrong:
        if not isinstance(value, list) or len(value) > len(field.choices):
            return wrong
        if not all(isinstance(entry, str) and entry in field.choices for entry in value):
            return wrong
        return _FINE if len(set(value)) == len(value) else wrong

    return check


def _bounds(field: Field) -> tuple[float, float, str]:
    low = -math.inf if field.minimum is None else field.minimum
    high = math.inf if field.maximum is None else field.maximum
    if field.minimum is None and field.maximum is None:
        return low, high, "a number"
    return low, high, f"{low:g} to {high:g}" if high < 1e5 else f"{low:g} to {high:.0f}"


def _whole(field: Field) -> Check:
    low, high, words = _bounds(field)
    not_whole, outside = (("", f"a whole number, {words}"),), (("", words),)

    def check(value: Any) -> Wrong:
        if type(value) is not int:  # a bool is an int to Python, but not to people
            return not_whole
        return _FINE if low <= value <= high else outside

    return check


def _number(field: Field) -> Check:
    low, high, words = _bounds(field)
    not_number, outside = (("", f"a number, {words}" if words != "a number" else words),), (("", words),)

    def check(value: Any) -> Wrong:
        if type(value) is not int and type(value) is not float:
            return not_number
        # NaN fails both comparisons; infinity is outside once it is compared with the largest float.
        return _FINE if low <= value <= high and abs(value) < 1e300 else outside

    return check


def _yes_no(field: Field) -> Check:
    return lambda value: _FINE if value is True or value is False else (("", "true or false"),)


def _instant(field: Field) -> Check:
    wrong = (("", "a date and time with offset, such as 2026-03-29T06:40:00+01:00"),)
    return lambda value: _FINE if is_instant(value) else wrong


def _day(field: Field) -> Check:
    wrong = (("", "a date, such as 2026-03-29"),)

    def check(value: Any) -> Wrong:
        if not isinstance(value, str) or _DAY(value) is None:
            return wrong
        try:
            date.fromisoformat(value)
        except ValueError:
            return wrong
        return _FINE

    return check


@cache
def _zones() -> frozenset[str]:
    return frozenset(available_timezones())


def _time_zone(field: Field) -> Check:
    wrong = (("", "an IANA time zone, such as Europe/London"),)
    return lambda value: _FINE if isinstance(value, str) and value in _zones() else wrong


def _ref(field: Field) -> Check:
    wrong = (("", "the id of a record: a UUID in lower case"),)
    return lambda value: _FINE if type(value) is str and _UUID(value) else wrong


def _list_of(field: Field, entry_check: Check, what: str) -> Check:
    too_long = (("", f"a list of at most {field.max_length} {what}"),)

    def check(value: Any) -> Wrong:
        if not isinstance(value, list) or len(value) > field.max_length:
            return too_long
        return tuple(
            (f"/{i}{rest}", detail) for i, entry in enumerate(value) for rest, detail in entry_check(entry)
        )

    return check


def _refs(field: Field) -> Check:
    return _list_of(field, _ref(field), "ids")


def _numbers(field: Field) -> Check:
    return _list_of(field, _number(field), "numbers")


def _quantity(field: Field) -> Check:
    units, number = frozenset(field.units), _number(field)
    shape = (("", 'an object such as {"value": 4.5, "unit": "' + field.units[0] + '"}'),)
    unit_wrong = (("/unit", f"one of {', '.join(field.units)}"),)

    def check(value: Any) -> Wrong:
        if not isinstance(value, dict) or "value" not in value:
            return shape
        if wrong := number(value["value"]):
            return tuple((f"/value{rest}", detail) for rest, detail in wrong)
        unit = value.get("unit")
        return _FINE if isinstance(unit, str) and unit in units else unit_wrong

    return check


def _taxa(field: Field) -> Check:
    name = _text(Field(kind="text", doc="", required=True, max_length=120))
    count = _whole(Field(kind="whole", doc="", minimum=0, maximum=9999))

    def entry(value: Any) -> Wrong:
        if not isinstance(value, dict):
            return (("", 'an object such as {"name": "Deroceras", "count": 3}'),)
        wrong = [("/name" + rest, detail) for rest, detail in name(value.get("name"))]
        if value.get("count") is not None:
            wrong += [("/count" + rest, detail) for rest, detail in count(value["count"])]
        return tuple(wrong)

    return _list_of(field, entry, "names with counts")


def _photos(field: Field) -> Check:
    size = _whole(Field(kind="whole", doc="", minimum=0, maximum=100_000_000))

    def entry(value: Any) -> Wrong:
        if not isinstance(value, dict):
            return (("", 'an object such as {"sha256": "…", "bytes": 281229}'),)
        sha256 = value.get("sha256")
        if not isinstance(sha256, str) or not _SHA256(sha256):
            return (("/sha256", "64 hex digits"),)
        if value.get("bytes") is not None and (wrong := size(value["bytes"])):
            return tuple((f"/bytes{rest}", detail) for rest, detail in wrong)
        return _FINE

    return _list_of(field, entry, "photos")


def _outline(field: Field) -> Check:
    metre = _number(Field(kind="number", doc="", minimum=-100_000, maximum=100_000))

    def entry(value: Any) -> Wrong:
        if not isinstance(value, list) or len(value) != 2:
            return (("", "a corner [x, y] in metres"),)
        return tuple((f"/{i}{rest}", detail) for i in (0, 1) for rest, detail in metre(value[i]))

    return _list_of(field, entry, "corners")


def _settings(field: Field) -> Check:
    return lambda value: _FINE if isinstance(value, dict) else (("", "an object"),)


_BUILDERS: Mapping[str, Callable[[Field], Check]] = {
    "text": _text,
    "choice": _choice,
    "choices": _choices,
    "whole": _whole,
    "number": _number,
    "yes_no": _yes_no,
    "instant": _instant,
    "day": _day,
    "time_zone": _time_zone,
    "ref": _ref,
    "refs": _refs,
    "quantity": _quantity,
    "taxa": _taxa,
    "photos": _photos,
    "outline": _outline,
    "numbers": _numbers,
    "settings": _settings,
}
