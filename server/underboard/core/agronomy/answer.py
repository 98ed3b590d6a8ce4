"""Results out: a frozen dataclass becomes a JSON object without NaN, infinity or rounding."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import field, fields, is_dataclass
from typing import Any

_LEAVE_OUT = "leave_out_when_none"


def optional() -> Any:
    """A result field that is left out of the answer when it is None (instead of being shown as null)."""
    return field(default=None, metadata={_LEAVE_OUT: True})


def as_json(result: object) -> dict[str, Any]:
    """Turn a result into a JSON object.

    Notes
    -----
    A float that is not finite becomes null, and a sentence in ``why_not`` says which, so that nothing
    undefined passes silently even where a function forgot to say so itself. A field whose name ends in an
    underscore (``from_``) loses it.
    """
    unbounded: list[str] = []
    answer = _convert(result, "", unbounded)
    if not isinstance(answer, dict):
        raise TypeError(f"a calculation must return a dataclass, not {type(result).__name__}")
    if unbounded:
        said = list(answer.get("why_not") or [])
        said += [f"{key} is not a finite number here, so it is left empty." for key in unbounded]
        answer["why_not"] = said
    return answer


def _convert(value: Any, key: str, unbounded: list[str]) -> Any:
    if value is None or isinstance(value, bool | str):
        return value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        if math.isfinite(value):
            return float(value) + 0.0
        if key not in unbounded:
            unbounded.append(key)
        return None
    if is_dataclass(value):
        return {
            item.name.rstrip("_"): _convert(getattr(value, item.name), item.name.rstrip("_"), unbounded)
            for item in fields(value)
            if not (getattr(value, item.name) is None and item.metadata.get(_LEAVE_OUT))
        }
    if isinstance(value, Mapping):
        return {str(name): _convert(item, f"{key}.{name}", unbounded) for name, item in value.items()}
    if isinstance(value, tuple | list):
        return [_convert(item, key, unbounded) for item in value]
    if isinstance(value, dt.date):  # a datetime is a date too
        return value.isoformat()
    if hasattr(value, "item"):  # a numpy scalar
        return _convert(value.item(), key, unbounded)
    raise TypeError(f"{key}: {type(value).__name__} has no place in a JSON answer")
