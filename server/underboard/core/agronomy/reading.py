"""JSON in: every value checked against its `Param`, every fault with a pointer and a way to mend it."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from underboard.core.agronomy.param import LIST_OF, LONGEST_TEXT, NAMED, NO_DEFAULT, Param
from underboard.core.errors import InputFault


def pointer_to(parent: str, key: str | int) -> str:
    """The JSON pointer (RFC 6901) of a key or index below `parent`."""
    return f"{parent}/{str(key).replace('~', '~0').replace('/', '~1')}"


def read_object(
    raw: object, params: Sequence[Param], pointer: str, *, fill: bool, extra_ok: bool = False
) -> dict[str, Any]:
    """Read a JSON object by its description.

    Parameters
    ----------
    raw
        The decoded value.
    params
        What may and must stand in it.
    pointer
        Where it stands.
    fill
        Put defaults in for absent optional inputs (inside lists of objects, where no function default helps).
    extra_ok
        Leave unknown keys alone instead of refusing them.
    """
    if not isinstance(raw, Mapping):
        raise InputFault(pointer, f"Give a JSON object with {_listing(params)}, not {_what(raw)}.")
    known = {param.key for param in params}
    if not extra_ok:
        for key in raw:
            if key not in known:
                raise InputFault(pointer_to(pointer, key), _unknown(str(key), params))
    values: dict[str, Any] = {}
    for param in params:
        value = raw.get(param.key)
        if value is None and not param.required:
            if fill and param.default is not NO_DEFAULT:
                values[param.key] = param.default
            continue
        if param.key not in raw:
            raise InputFault(pointer_to(pointer, param.key), f'"{param.key}" is missing: {_wanted(param)}.')
        values[param.key] = read_value(value, param, pointer_to(pointer, param.key))
    return values


def read_value(value: object, param: Param, pointer: str) -> Any:
    """Read one value of any kind."""
    kind = param.kind
    if kind in LIST_OF:
        return _read_list(value, param, pointer, *LIST_OF[kind])
    if kind in NAMED:
        return _read_named(value, param, pointer)
    if kind == "object":
        return read_object(value, param.fields, pointer, fill=True, extra_ok=param.extra_ok)
    if kind == "object_or_boolean":
        if isinstance(value, bool):
            return value
        return read_object(value, param.fields, pointer, fill=True, extra_ok=param.extra_ok)
    if kind == "number_or_numbers":
        if isinstance(value, list):
            return _read_list(value, param, pointer, "number", False)
        return _number(value, param, pointer)
    return _SCALARS[kind](value, param, pointer)


def _read_list(value: object, param: Param, pointer: str, item_kind: str, null_ok: bool) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise InputFault(pointer, f'"{param.key}" must be a list, not {_what(value)}.')
    if len(value) < param.min_len:
        raise InputFault(
            pointer, f'"{param.key}" needs at least {_entries(param.min_len)}; there are {len(value)}.'
        )
    if len(value) > param.max_len:
        raise InputFault(
            pointer, f'"{param.key}" takes at most {_entries(param.max_len)}; there are {len(value)}.'
        )
    if item_kind == "object":
        return tuple(
            read_object(item, param.fields, pointer_to(pointer, i), fill=True, extra_ok=param.extra_ok)
            for i, item in enumerate(value)
        )
    if item_kind in LIST_OF:
        inner, inner_null = LIST_OF[item_kind]
        whole = Param(param.key, "numbers", low=param.lowest, high=param.highest)
        return tuple(
            _read_list(item, whole, pointer_to(pointer, i), inner, inner_null) for i, item in enumerate(value)
        )
    if item_kind in ("number", "integer", "count"):
        return _read_numbers(value, param, pointer, item_kind, null_ok)
    read = _SCALARS[item_kind]
    return tuple(
        None if item is None and null_ok else read(item, param, f"{pointer}/{i}")
        for i, item in enumerate(value)
    )


def _read_numbers(
    value: list[Any], param: Param, pointer: str, item_kind: str, null_ok: bool
) -> tuple[Any, ...]:
    """A list of numbers, which may be a million long: what is plainly right is taken without a call."""
    read = _SCALARS[item_kind]
    low, high, whole = param.lowest, param.highest, item_kind != "number"
    taken: list[Any] = []
    for i, item in enumerate(value):
        kind = type(item)
        if kind is int and low < item < high:
            taken.append(item if whole else float(item))
        elif kind is float and not whole and low < item < high:
            taken.append(item + 0.0)
        else:
            taken.append(None if item is None and null_ok else read(item, param, f"{pointer}/{i}"))
    return tuple(taken)


def _read_named(value: object, param: Param, pointer: str) -> dict[str, Any]:
    if not isinstance(value, Mapping):
        raise InputFault(pointer, f'"{param.key}" must be an object of named lists, not {_what(value)}.')
    if not param.min_len <= len(value) <= param.max_len:
        raise InputFault(
            pointer,
            f'"{param.key}" needs {param.min_len} to {param.max_len} named lists; there are {len(value)}.',
        )
    item_kind, null_ok = LIST_OF[NAMED[param.kind]]
    inner = Param(param.key, NAMED[param.kind], low=param.lowest, high=param.highest, low_open=param.low_open)
    return {
        str(name): _read_list(items, inner, pointer_to(pointer, str(name)), item_kind, null_ok)
        for name, items in value.items()
    }


def _number(value: object, param: Param, pointer: str) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputFault(pointer, f'"{param.key}" must be a number, not {_what(value)}.')
    try:
        number = float(value) + 0.0  # turns -0.0 into 0.0
    except OverflowError:
        number = math.inf if value > 0 else -math.inf
    _in_range(number, param, pointer)
    return number


def _integer(value: object, param: Param, pointer: str) -> int:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputFault(pointer, f'"{param.key}" must be a whole number, not {_what(value)}.')
    _in_range(value, param, pointer)
    if value != int(value):
        raise InputFault(pointer, f'"{param.key}" must be a whole number; {value:g} is not.')
    return int(value)


def _in_range(number: float, param: Param, pointer: str) -> None:
    low, high = param.lowest, param.highest
    # Written so that NaN fails too.
    below = not (number > low if param.low_open else number >= low)
    above = not (number < high if param.high_open else number <= high)
    if below or above:
        shown = f"{number:g}" if isinstance(number, float) or abs(number) < 10**15 else "That number"
        raise InputFault(
            pointer, f'"{param.key}" must be {param.range_words()}{_unit(param)}; {shown} is not.'
        )


def _boolean(value: object, param: Param, pointer: str) -> bool:
    if not isinstance(value, bool):
        raise InputFault(pointer, f'"{param.key}" must be true or false, not {_what(value)}.')
    return value


def _flag(value: object, param: Param, pointer: str) -> int:
    if not isinstance(value, int | float) or value not in (0, 1):
        raise InputFault(pointer, f'"{param.key}" must be 1 or 0, or true or false, not {_what(value)}.')
    return int(value)


def _text(value: object, param: Param, pointer: str) -> str:
    if not isinstance(value, str):
        raise InputFault(pointer, f'"{param.key}" must be text, not {_what(value)}.')
    if not 1 <= len(value) <= LONGEST_TEXT:
        raise InputFault(
            pointer, f'"{param.key}" must have 1 to {LONGEST_TEXT} characters; it has {len(value)}.'
        )
    return value


def _label(value: object, param: Param, pointer: str) -> str:
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise InputFault(pointer, f'"{param.key}" must be labels (text or numbers), not {_what(value)}.')
    return value if isinstance(value, str) else f"{_number(value, param, pointer):g}"


def _choice(value: object, param: Param, pointer: str) -> str:
    if not isinstance(value, str) or value not in param.choices:
        shown = f'"{value[:40]}"' if isinstance(value, str) else _what(value)
        hint = _near(value, param.choices) if isinstance(value, str) else ""
        raise InputFault(
            pointer, f'"{param.key}" must be one of {", ".join(param.choices)}; {shown} is not.{hint}'
        )
    return value


def _date(value: object, param: Param, pointer: str) -> dt.date:
    if isinstance(value, str) and len(value) == 10:
        try:
            return dt.date.fromisoformat(value)
        except ValueError:
            pass
    raise InputFault(pointer, f'"{param.key}" must be a date such as "2026-05-10", not {_what(value)}.')


def _datetime(value: object, param: Param, pointer: str) -> dt.datetime:
    if isinstance(value, str) and 16 <= len(value) <= 40:
        try:
            read = dt.datetime.fromisoformat(value)
            if read.utcoffset() is not None and "T" in value.upper():
                read.astimezone(dt.UTC)  # refuses the year 1 and 9999 at the very edge
                return read
        except (ValueError, OverflowError):
            pass
    example = '"2026-05-10T07:30:00+01:00"'
    said = f'"{param.key}" must be a time with its offset, such as {example}, not {_what(value)}.'
    raise InputFault(pointer, said)


_SCALARS: dict[str, Callable[[Any, Param, str], Any]] = {
    "number": _number,
    "integer": _integer,
    "count": _integer,
    "boolean": _boolean,
    "flag": _flag,
    "text": _text,
    "label": _label,
    "choice": _choice,
    "date": _date,
    "datetime": _datetime,
}


def _what(value: object) -> str:
    """What was found, in words a person would use."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return "a number"
    if isinstance(value, str):
        return f'the text "{value[:40]}"'
    return "a list" if isinstance(value, list) else "an object"


def _wanted(param: Param) -> str:
    return (param.doc[:1].lower() + param.doc[1:]).rstrip(".") + _unit(param) if param.doc else "it is needed"


def _unit(param: Param) -> str:
    return f" {param.unit}" if param.unit else ""


def _listing(params: Sequence[Param]) -> str:
    return ", ".join(f'"{param.key}"' for param in params)


def _unknown(key: str, params: Sequence[Param]) -> str:
    near = _near(key, tuple(param.key for param in params))
    return f'There is no input "{key[:40]}".{near} The inputs are {_listing(params)}.'


def _near(word: str, words: Sequence[str]) -> str:
    from difflib import get_close_matches

    found = get_close_matches(word[:60], words, n=1)
    return f' Did you mean "{found[0]}"?' if found else ""


def _entries(n: int) -> str:
    return "1 entry" if n == 1 else f"{n} entries"
