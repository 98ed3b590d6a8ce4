"""Whatever JSON comes in: an answer, a reason why not, or a fault with a pointer. Never anything else."""

from __future__ import annotations

import inspect
import itertools
import json
import time
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.core.agronomy.any_json import any_json, changed_example, near_input
from underboard.core.agronomy import calculation, evaluate, names
from underboard.core.agronomy.contract import NO_DEFAULT
from underboard.core.agronomy.param import LIST_OF
from underboard.core.errors import InputFault

pytestmark = pytest.mark.parametrize("name", names())
thorough = settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))


def holds(name: str, raw: Any) -> None:
    """The promise of the contract for one input."""
    try:
        answer = evaluate(name, raw)
    except InputFault as fault:
        assert fault.pointer == "" or fault.pointer.startswith("/")
        assert fault.detail.endswith((".", "?")) and len(fault.detail) < 600
        return
    json.dumps(answer, allow_nan=False)
    assert answer["method"] and answer["source"]
    empty = [key for key, value in answer.items() if value is None]
    assert not empty or answer.get("why_not"), f"{empty} are empty without a reason"


@thorough
@given(raw=any_json)
def test_any_json(name: str, raw: Any) -> None:
    holds(name, raw)


@thorough
@given(data=st.data())
def test_inputs_that_nearly_fit(name: str, data: st.DataObject) -> None:
    holds(name, data.draw(near_input(calculation(name))))


@thorough
@given(data=st.data())
def test_the_example_with_one_thing_changed(name: str, data: st.DataObject) -> None:
    holds(name, data.draw(changed_example(calculation(name))))


def test_a_list_of_a_million(name: str) -> None:
    """Long lists are answered or refused in reasonable time."""
    example = dict(calculation(name).example)
    lists = [p.key for p in calculation(name).params if p.kind in LIST_OF and example.get(p.key)]
    for key in lists:
        example[key] = list(itertools.islice(itertools.cycle(example[key]), 1_000_000))
    start = time.perf_counter()
    holds(name, example)
    assert time.perf_counter() - start < 60


def test_a_million_values_inside_one_entry(name: str) -> None:
    """The same where the lists stand inside a list or under names (rounds, groups): the first is a million long."""
    example = json.loads(json.dumps(dict(calculation(name).example)))
    for param in calculation(name).params:
        given = example.get(param.key)
        inner = (
            next(iter(given.values() if isinstance(given, dict) else given), None)
            if given_lists(given)
            else None
        )
        if inner:
            inner[:] = list(itertools.islice(itertools.cycle(list(inner)), 1_000_000))
    start = time.perf_counter()
    holds(name, example)
    assert time.perf_counter() - start < 60


def given_lists(given: Any) -> bool:
    """Whether an input is a list of lists or an object of lists."""
    entries = given.values() if isinstance(given, dict) else given if isinstance(given, list) else ()
    return bool(entries) and all(isinstance(entry, list) for entry in entries)


def test_the_example_answers(name: str) -> None:
    answer = evaluate(name, json.loads(json.dumps(calculation(name).example)))
    assert answer["method"]


def test_the_description_matches_the_function(name: str) -> None:
    """Each input is an argument of the function, with the same default."""
    found = calculation(name)
    assert found.name == name
    assert found.question.endswith("?")
    signature = inspect.signature(found.run).parameters
    assert [p.argument for p in found.params if p.argument not in signature] == []
    assert set(signature) == {p.argument for p in found.params}
    for param in found.params:
        default = signature[param.argument].default
        if param.required:
            assert default is inspect.Parameter.empty, param.key
        else:
            assert param.default is not NO_DEFAULT, f"{param.key} needs a default"
            assert default == param.default, param.key
        assert param.doc, param.key
