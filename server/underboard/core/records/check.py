"""The one check of a set of fields: used by push, commands, demo and import alike.

Each `Field` is compiled once into a small function (`kinds.py`). Checking a typical count takes a few
microseconds.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from underboard.core.records.kinds import Check, check_of, is_id, is_instant, read_instant
from underboard.core.records.registry import RECORD_TYPES

__all__ = ["Fault", "check_set", "is_id", "is_instant", "read_instant"]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a set of fields: where (JSON pointer, RFC 6901) and what would be right."""

    pointer: str
    detail: str


def check_set(type_name: str, set_: Mapping[str, Any], *, creating: bool) -> list[Fault]:
    """Say everything that is wrong with `set_`, an empty list when it can be stored.

    Parameters
    ----------
    type_name
        A key of `RECORD_TYPES`; any other name is itself the fault.
    set_
        Field name → value. Fields that this version does not know are kept unlooked at.
    creating
        The record is new, so the required fields must be there.
    """
    rules = _RULES.get(type_name)
    if rules is None:
        return [Fault("/type", f"not a record type; known are {', '.join(RECORD_TYPES)}")]
    check_named, required = rules
    faults: list[Fault] = []
    for name, value in set_.items():
        check = check_named(name)
        if value is None:  # cleared
            if name in required:
                faults.append(Fault(f"/set/{name}", "must be given"))
        elif check is not None and (wrong := check(value)):
            faults += [Fault(f"/set/{name}{rest}", detail) for rest, detail in wrong]
    if creating:
        if not all(map(set_.__contains__, required)):
            faults += [Fault(f"/set/{name}", "must be given") for name in required if name not in set_]
        if not faults and type_name == "slug_count":
            faults += counted_needs_count(set_)
    return faults


def counted_needs_count(set_: Mapping[str, Any]) -> list[Fault]:
    """Say whether a new count names its number.

    "None found" and "counted, but the number is missing" must never be mixed up in a mean.
    """
    state = set_.get("state")
    if state == "counted" and set_.get("count") is None:
        return [Fault("/set/count", "a counted board needs its number, 0 to 9999")]
    if state == "none_found" and set_.get("count") not in (None, 0):
        return [Fault("/set/state", "none_found does not go with a count above 0")]
    return []


_RULES: Mapping[str, tuple[Callable[[str], Check | None], tuple[str, ...]]] = {
    name: ({field.name: check_of(field) for field in found.fields.values()}.get, found.required)
    for name, found in RECORD_TYPES.items()
}
