"""What a calculation is: its question, its inputs, its function; and the one way to run it.

A calculation is a plain function with keyword arguments that returns a frozen dataclass. Beside it
stands a `Calculation`, which says the same to a machine: inputs with kind, unit and range, the source,
a worked example. `evaluate` reads a JSON object by that description, calls the function and writes the
answer as a JSON object. The command, the web service and the scheduled job all go through it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from underboard.core.agronomy.answer import as_json
from underboard.core.agronomy.param import LEVEL, NO_DEFAULT, Param
from underboard.core.agronomy.reading import read_object
from underboard.core.errors import InputFault

__all__ = ["COMMON_PRACTICE", "LEVEL", "NO_DEFAULT", "Calculation", "Param", "evaluate_with"]

COMMON_PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class Calculation:
    """One question that can be asked alone.

    Parameters
    ----------
    name
        The name on the command line, in kebab-case.
    question
        What it answers, as a grower would ask it.
    source
        Author, year, title; or "common practice, no source"; or a source followed by "(from memory)".
    method
        What is done, by name.
    params
        The inputs, in the order they are explained.
    run
        The pure function. Optional inputs that are absent are not passed, so that its own defaults hold.
    example
        A complete input, small enough to follow by hand.
    rules
        Edge rules, one plain sentence each.
    returns
        Key → meaning with unit, for the explanation.
    needs_scipy
        Whether a run imports scipy (such runs start more slowly).
    """

    name: str
    question: str
    source: str
    method: str
    params: tuple[Param, ...]
    run: Callable[..., object]
    example: Mapping[str, Any]
    rules: tuple[str, ...] = ()
    returns: Mapping[str, str] | None = None
    needs_scipy: bool = False


def evaluate_with(calculation: Calculation, raw: object) -> dict[str, Any]:
    """Run one calculation on a JSON object.

    Parameters
    ----------
    calculation
        What to run.
    raw
        The decoded JSON input.

    Returns
    -------
    dict
        Only JSON values: no NaN, no infinity, nothing rounded; always with ``method`` and ``source``.

    Raises
    ------
    InputFault
        When the input is nonsense; it carries the JSON pointer and one sentence.
    """
    values = read_object(raw, calculation.params, "", fill=False)
    arguments = {param.argument: values[param.key] for param in calculation.params if param.key in values}
    try:
        result = calculation.run(**arguments)
    except ArithmeticError as error:
        raise InputFault("", "These numbers are too large or too small to calculate with.") from error
    answer = as_json(result)
    answer.setdefault("method", calculation.method)
    answer.setdefault("source", calculation.source)
    return answer
