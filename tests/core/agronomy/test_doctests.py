"""The worked examples in the docstrings are true."""

from __future__ import annotations

import doctest
import pkgutil
from importlib import import_module

import pytest

import underboard.core.agronomy as agronomy

MODULES = sorted(
    found.name
    for found in pkgutil.walk_packages(agronomy.__path__, f"{agronomy.__name__}.")
    if not found.ispkg
)


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings(name: str) -> None:
    assert doctest.testmod(import_module(name)).failed == 0


def test_every_calculation_shows_an_example_in_its_docstring() -> None:
    """One at least for each module that answers a question."""
    without = [
        name for name in MODULES if hasattr(import_module(name), "CALCULATION") and ">>> " not in _text(name)
    ]
    assert without == []


def _text(name: str) -> str:
    module = import_module(name)
    return "\n".join(str(member.__doc__) for member in vars(module).values() if callable(member))
