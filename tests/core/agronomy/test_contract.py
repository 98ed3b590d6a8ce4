"""How inputs are read and answers written."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

import pytest

from underboard.core.agronomy import calculation, evaluate, folder_of, names
from underboard.core.agronomy.answer import as_json, optional
from underboard.core.agronomy.contract import Calculation, Param, evaluate_with
from underboard.core.agronomy.explain import explain
from underboard.core.agronomy.reading import read_object
from underboard.core.errors import InputFault


def read(param: Param, value: Any) -> Any:
    return read_object({param.key: value}, (param,), "", fill=True)[param.key]


def fault(params: tuple[Param, ...], raw: Any) -> InputFault:
    with pytest.raises(InputFault) as caught:
        read_object(raw, params, "", fill=False)
    return caught.value


@pytest.mark.parametrize(
    ("param", "value", "want"),
    [
        (Param("x", "number"), 3, 3.0),
        (Param("x", "number"), -0.0, 0.0),
        (Param("x", "integer"), 3.0, 3),
        (Param("x", "count"), 0, 0),
        (Param("x", "boolean"), False, False),
        (Param("x", "flag"), True, 1),
        (Param("x", "flag"), 0.0, 0),
        (Param("x", "text"), "bed 3", "bed 3"),
        (Param("x", "label"), 3, "3"),
        (Param("x", "label"), "north", "north"),
        (Param("x", "choice", choices=("a", "b")), "b", "b"),
        (Param("x", "date"), "2024-02-29", dt.date(2024, 2, 29)),
        (Param("x", "numbers_or_null"), [1, None], (1.0, None)),
        (Param("x", "counts"), [1, 2], (1, 2)),
        (Param("x", "count_lists_or_null"), [[1, None], []], ((1, None), ())),
        (Param("x", "number_or_numbers"), 4, 4.0),
        (Param("x", "number_or_numbers"), [4], (4.0,)),
        (Param("x", "named_counts"), {"a": [1]}, {"a": (1,)}),
        (Param("x", "object", fields=(Param("y", "number", required=False, default=1.5),)), {}, {"y": 1.5}),
        (Param("x", "objects", fields=(Param("y", "number"),)), [{"y": 2}], ({"y": 2.0},)),
        (Param("x", "object", extra_ok=True, fields=(Param("y", "number"),)), {"y": 2, "z": 3}, {"y": 2.0}),
    ],
)
def test_fitting_values_are_read(param: Param, value: Any, want: Any) -> None:
    got = read(param, value)
    assert got == want
    assert str(got) == str(want)  # tells 3 from 3.0 and 0.0 from -0.0


def test_a_time_keeps_its_offset() -> None:
    got = read(Param("x", "datetime"), "2026-05-10T07:30:00+01:00")
    assert got.utcoffset() == dt.timedelta(hours=1)


NAMED = Param("x", "named_counts", min_len=1)
PAIRS = Param("x", "objects", fields=(Param("y/z", "number", doc="Some figure", unit="m"),))


@pytest.mark.parametrize(
    ("param", "raw", "pointer", "words"),
    [
        (Param("x", "number"), [], "", "not a list"),
        (Param("x", "number"), {}, "/x", "missing"),
        (Param("x", "number"), {"x": 1, "xx": 2}, "/xx", 'Did you mean "x"?'),
        (Param("x", "number"), {"x": 1, "a/b~c": 2}, "/a~1b~0c", "no input"),
        (Param("x", "number"), {"x": None}, "/x", "not null"),
        (Param("x", "number"), {"x": True}, "/x", "not true"),
        (Param("x", "number"), {"x": "12"}, "/x", 'not the text "12"'),
        (Param("x", "number", low=0, unit="m"), {"x": -1}, "/x", "from 0 to 1e+12 m; -1 is not"),
        (Param("x", "number", low=0, low_open=True, high=1), {"x": 0}, "/x", "above 0 to 1"),
        (Param("x", "number", high=1, high_open=True), {"x": 1}, "/x", "below 1"),
        (Param("x", "number"), {"x": 1e308}, "/x", "1e+308 is not"),
        (Param("x", "number"), {"x": 10**400}, "/x", "inf is not"),
        (Param("x", "number"), {"x": float("nan")}, "/x", "nan is not"),
        (Param("x", "integer"), {"x": 1.5}, "/x", "whole number; 1.5 is not"),
        (Param("x", "integer"), {"x": {}}, "/x", "not an object"),
        (Param("x", "count"), {"x": 10**400}, "/x", "That number is not"),
        (Param("x", "boolean"), {"x": 1}, "/x", "true or false"),
        (Param("x", "flag"), {"x": 2}, "/x", "1 or 0"),
        (Param("x", "text"), {"x": ""}, "/x", "1 to 200 characters"),
        (Param("x", "text"), {"x": 5}, "/x", "must be text"),
        (Param("x", "label"), {"x": []}, "/x", "labels"),
        (Param("x", "choice", choices=("green", "kuno")), {"x": "gren"}, "/x", 'Did you mean "green"?'),
        (Param("x", "choice", choices=("green", "kuno")), {"x": 4}, "/x", "a number is not"),
        (Param("x", "date"), {"x": "2026-02-30"}, "/x", "2026-05-10"),
        (Param("x", "date"), {"x": "2026-2-3"}, "/x", "2026-05-10"),
        (Param("x", "datetime"), {"x": "2026-05-10T07:30:00"}, "/x", "with its offset"),
        (Param("x", "datetime"), {"x": "2026-05-10"}, "/x", "with its offset"),
        (Param("x", "datetime"), {"x": "0001-01-01T00:00:00+14:00"}, "/x", "with its offset"),
        (Param("x", "counts"), {"x": "1,2"}, "/x", "must be a list"),
        (Param("x", "counts"), {"x": [0, 1, 2, -3]}, "/x/3", "-3 is not"),
        (Param("x", "counts", min_len=2), {"x": [1]}, "/x", "at least 2"),
        (Param("x", "counts", max_len=1), {"x": [1, 1]}, "/x", "at most 1"),
        (Param("x", "count_lists"), {"x": [[1], [1, None]]}, "/x/1/1", "not null"),
        (NAMED, {"x": []}, "/x", "named lists"),
        (NAMED, {"x": {}}, "/x", "there are 0"),
        (NAMED, {"x": {"a": [1, -1]}}, "/x/a/1", "-1 is not"),
        (PAIRS, {"x": [{"y/z": 1}, {}]}, "/x/1/y~1z", "some figure m"),
        (PAIRS, {"x": [{"y/z": 1, "w": 1}]}, "/x/0/w", "no input"),
    ],
)
def test_a_fault_says_where_and_how_to_mend_it(param: Param, raw: Any, pointer: str, words: str) -> None:
    found = fault((param,), raw)
    assert found.pointer == pointer
    assert words in found.detail
    assert str(found).endswith(found.detail)


def test_null_stands_for_an_absent_optional_input() -> None:
    params = (Param("x", "number", required=False, default=2.0),)
    assert read_object({"x": None}, params, "", fill=False) == {}
    assert read_object({"x": None}, params, "", fill=True) == {"x": 2.0}


@dataclass(frozen=True)
class _Inner:
    from_: float
    day: dt.date


@dataclass(frozen=True)
class _Result:
    good: float
    bad: float
    many: tuple[float, ...]
    inner: _Inner
    table: dict[str, float]
    maybe: float | None = optional()
    why_not: tuple[str, ...] = ()
    extra: Any = field(default=None)


def test_an_answer_holds_no_nan_and_says_what_is_empty() -> None:
    inner = _Inner(1.0, dt.date(2026, 1, 2))
    result = _Result(
        -0.0,
        float("nan"),
        (1.0, float("inf"), float("inf")),
        inner,
        {"k": float("inf")},
        why_not=("Because.",),
    )
    got = as_json(result)
    assert str(got["good"]) == "0.0"
    assert got["bad"] is None and got["many"] == [1.0, None, None] and got["table"] == {"k": None}
    assert got["inner"] == {"from": 1.0, "day": "2026-01-02"}
    assert "maybe" not in got
    assert got["why_not"][0] == "Because."
    assert [said.split()[0] for said in got["why_not"][1:]] == ["bad", "many", "table.k"]


def test_a_numpy_scalar_becomes_a_plain_number() -> None:
    import numpy as np

    inner = _Inner(1.0, dt.date(2026, 1, 2))
    got = as_json(_Result(np.float64(0.5), 1.0, (), inner, {}, maybe=2.0, extra=np.int64(3)))
    assert type(got["good"]) is float and type(got["extra"]) is int and got["maybe"] == 2.0


def test_an_answer_must_be_a_dataclass_of_plain_values() -> None:
    with pytest.raises(TypeError, match="must return a dataclass"):
        as_json((1, 2))
    with pytest.raises(TypeError, match="no place"):
        as_json(_Result(0, 0, (), _Inner(1.0, dt.date(2026, 1, 2)), {}, extra=object()))


def test_arithmetic_that_overflows_is_refused_in_words() -> None:
    def run(x: float) -> object:
        return x / 0

    found = Calculation("n", "Q?", "s", "m", (Param("x", "number"),), run, {"x": 1})
    with pytest.raises(InputFault, match="too large or too small"):
        evaluate_with(found, {"x": 1})


def test_an_unknown_calculation_is_refused_with_a_hint() -> None:
    with pytest.raises(InputFault, match='Did you mean "degree-days"'):
        calculation("degre-days")
    with pytest.raises(InputFault, match="no calculation"):
        evaluate("☃", {})


def test_every_calculation_stands_in_a_folder() -> None:
    assert len(names()) == len(set(names())) >= 25
    assert folder_of("sun") == "calendar"


def test_the_shortest_explanation() -> None:
    def run(x: float) -> object:
        return _Inner(x, dt.date(2026, 1, 1))

    told = explain(Calculation("n", "Q?", "s", "m", (Param("x", "number"),), run, {"x": 1}))
    assert "## Limits" not in told and "## Answer" not in told
    assert '"from": 1.0' in told
