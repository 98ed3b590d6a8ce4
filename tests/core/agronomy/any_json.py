"""Hypothesis strategies: any JSON at all, and inputs that nearly fit a calculation's own description."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import strategies as st

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.agronomy.param import LIST_OF, NAMED

NASTY_NUMBERS = [
    0, 1, -1, 2, 0.5, -0.0, 1e-320, 1e-12, 1e308, -1e308, 2**63, -(2**63), 10**400, 1e15, 0.1 + 0.2, 3.0,
]  # fmt: skip
NASTY_TEXTS = ["", " ", "nan", "1", "\x00", "µ" * 300, "../..", "2026-02-30", "9999-12-31", "0001-01-01"]

scalars = st.one_of(
    st.none(),
    st.booleans(),
    st.sampled_from(NASTY_NUMBERS),
    st.integers(),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(NASTY_TEXTS),
    st.text(max_size=12),
)
any_json = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


def near_input(calculation: Calculation) -> st.SearchStrategy[dict[str, Any]]:
    """Objects with the calculation's keys, mostly values that fit, now and then one that does not."""
    required = {p.key: _mostly(p) for p in calculation.params if p.required}
    optional = {p.key: _mostly(p) for p in calculation.params if not p.required}
    return st.fixed_dictionaries(required, optional=optional)


def changed_example(calculation: Calculation) -> st.SearchStrategy[dict[str, Any]]:
    """The worked example with one leaf replaced by anything."""
    example = dict(calculation.example)
    paths = list(_paths(example))

    def put(path: tuple[Any, ...], value: Any) -> dict[str, Any]:
        changed: Any = copy.deepcopy(example)
        place = changed
        for step in path[:-1]:
            place = place[step]
        place[path[-1]] = value
        return dict(changed)

    return st.builds(put, st.sampled_from(paths), any_json)


def _paths(value: Any, at: tuple[Any, ...] = ()) -> Any:
    entries = (
        value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    )
    for key, inner in entries:
        yield (*at, key)
        yield from _paths(inner, (*at, key))


def _mostly(param: Param) -> st.SearchStrategy[Any]:
    return st.one_of(*[fitting(param)] * 9, any_json)


def fitting(param: Param) -> st.SearchStrategy[Any]:
    """Values that fit the description of one input."""
    kind = param.kind
    if kind == "objects":
        return st.lists(fitting(Param(param.key, "object", fields=param.fields)), max_size=12)
    if kind == "object_or_boolean":
        return st.booleans() | fitting(Param(param.key, "object", fields=param.fields))
    if kind == "object":
        inner = {p.key: fitting(p) for p in param.fields if p.required}
        more = {p.key: fitting(p) | st.none() for p in param.fields if not p.required}
        return st.fixed_dictionaries(inner, optional=more)
    if kind == "number_or_numbers":
        return _number(param) | st.lists(_number(param), max_size=12)
    if kind in LIST_OF:
        inner_kind, null_ok = LIST_OF[kind]
        item = fitting(
            Param(param.key, inner_kind, low=param.lowest, high=param.highest, choices=param.choices)
        )
        return st.lists(item | st.none() if null_ok else item, min_size=min(param.min_len, 12), max_size=14)
    if kind in NAMED:
        inner = Param(param.key, NAMED[kind], low=param.lowest, high=param.highest)
        return st.dictionaries(st.sampled_from("abcd"), fitting(inner), max_size=4)
    return _scalar(param)


def _scalar(param: Param) -> st.SearchStrategy[Any]:
    match param.kind:
        case "number":
            return _number(param)
        case "integer" | "count":
            low, high = int(param.lowest), int(param.highest)
            return st.integers(low, high) | st.integers(max(low, 0), min(high, max(low, 30)))
        case "boolean":
            return st.booleans()
        case "flag":
            return st.sampled_from([0, 1, True, False])
        case "choice":
            return st.sampled_from(param.choices)
        case "date":
            return st.dates().map(str)
        case "datetime":
            zones = st.sampled_from(["Z", "+00:00", "+01:00", "-11:30", "+14:00"])
            return st.builds(lambda moment, zone: moment.isoformat() + zone, st.datetimes(), zones)
        case "label":
            return st.sampled_from(["a", "b", 1, 2.5])
        case _:
            return st.sampled_from(["Europe/London", "Pacific/Auckland", "degC", "m**2", "rod"]) | st.text(
                max_size=9
            )


def _number(param: Param) -> st.SearchStrategy[float]:
    low, high = float(param.lowest), float(param.highest)
    edges = [value for value in (low, high, 0.0, 1.0, 1e-12, 1e-300) if low <= value <= high]
    usual = st.floats(max(low, -30.0), min(high, max(low + 1, 30.0)))
    return st.floats(low, high) | usual | st.sampled_from(edges)
