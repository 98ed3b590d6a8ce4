"""A set of fields, checked and put into words in one pass.

What phones send is mostly what came before: the same people, boards and states, small numbers. A value that was found
right for its field once is remembered with its JSON text, so that checking and writing a count is a few look-ups.
Whatever is not that plain goes to `check_set` and `write_fields`, which decide; a test holds both ways equal.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any, Final

from underboard.core.records import RECORD_TYPES, check_set
from underboard.core.records.check import counted_needs_count
from underboard.core.records.kinds import check_of
from underboard.core.records.spec import Field
from underboard.core.sync.terms import write_fields

MOST: Final = 4096
"""Values and orders of names that are remembered: more than a plot has boards, people and kinds; about a megabyte."""
LONGEST: Final = 48
_COME_AGAIN: Final = frozenset({"text", "choice", "whole", "ref", "time_zone", "day"})
"""Kinds whose values come again; a moment does not."""

Texts = dict[Any, str]
Writer = Callable[[Any], str | None]
"""Gives `"name":value`, or None when the value is not right for the field."""
Order = tuple[tuple[str, Texts, Writer], ...]

_spell: Final = json.encoder.encode_basestring_ascii


def write_checked(type_name: str, set_: Mapping[str, Any], *, creating: bool) -> tuple[str, bool]:
    """Return what `write_fields` makes of the set, and whether `check_set` finds nothing wrong with it.

    Raises
    ------
    ValueError
        A number in it is not finite.
    """
    names = (type_name, creating, *set_)
    order = _orders.get(names)
    if order is None:
        order = _order(type_name, set_, creating)
        if order is None:
            return _at_length(type_name, set_, creating)
        _make_room()
        _orders[names] = order
    parts = []
    for name, known, write in order:
        value = set_[name]
        kind = type(value)
        # Only these two kinds: to a dictionary, True and 1.0 are the same as 1.
        text = known.get(value) if kind is str or kind is int else None
        if text is None:
            text = write(value)
            if text is None:
                return _at_length(type_name, set_, creating)
        parts.append(text)
    if creating and type_name == "slug_count" and counted_needs_count(set_):
        return _at_length(type_name, set_, creating)
    return f"{{{','.join(parts)}}}", True


def _at_length(type_name: str, set_: Mapping[str, Any], creating: bool) -> tuple[str, bool]:
    return write_fields(set_), not check_set(type_name, set_, creating=creating)


def _order(type_name: str, set_: Mapping[str, Any], creating: bool) -> Order | None:
    """Return how these fields are written, or None when a name is not known or a required one is missing."""
    fields = RECORD_TYPES[type_name].fields
    if not fields.keys() >= set_.keys():
        return None
    if creating and not all(name in set_ for name in RECORD_TYPES[type_name].required):
        return None
    return tuple((name, *_FIELDS[type_name][name]) for name in sorted(set_))


def _writer(field: Field, known: Texts) -> Writer:
    check, start, again = check_of(field), f"{_spell(field.name)}:", field.kind in _COME_AGAIN

    def write(value: Any) -> str | None:
        if value is None:  # cleared
            return None if field.required else f"{start}null"
        if check(value):
            return None
        text = start + (_spell(value) if type(value) is str else write_fields(value))
        if again and (type(value) is int or (type(value) is str and len(value) <= LONGEST)):
            _make_room()
            known[value] = text
        return text

    return write


def _make_room() -> None:
    """Forget everything once it is too much: it comes back with the next push."""
    _count[0] += 1
    if _count[0] > MOST:
        _count[0] = 0
        _orders.clear()
        for fields in _FIELDS.values():
            for known, _ in fields.values():
                known.clear()


def _with_memory(field: Field) -> tuple[Texts, Writer]:
    known: Texts = {}
    return known, _writer(field, known)


_count: Final = [0]
_orders: Final[dict[tuple[object, ...], Order]] = {}
_FIELDS: Final[Mapping[str, Mapping[str, tuple[Texts, Writer]]]] = {
    type_name: {name: _with_memory(field) for name, field in found.fields.items()}
    for type_name, found in RECORD_TYPES.items()
}
