"""The agronomy: every calculation, each a pure function that can be run alone.

Front door of the innermost room. `names()` lists the calculations, `calculation(name)` gives one, and
`evaluate(name, raw)` runs it on a JSON object. Each folder (counts, wireworm, trials, surge, warmth, frost,
judged, nematodes, calendar) names its own calculations; a module is imported only when it is asked for, and
numpy and scipy only inside the functions that need them.

What may come in: floats, text, dates. What may not: files, the network, the clock, records, units as objects.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from underboard.core.errors import InputFault

if TYPE_CHECKING:
    from underboard.core.agronomy.contract import Calculation

_FOLDERS = ("counts", "wireworm", "trials", "surge", "warmth", "frost", "judged", "nematodes", "calendar")


def _registry() -> dict[str, str]:
    """Calculation name → full module path."""
    found: dict[str, str] = {}
    for folder in _FOLDERS:
        path = f"{__name__}.{folder}"
        modules: dict[str, str] = import_module(path).CALCULATIONS
        found.update({name: f"{path}.{module}" for name, module in modules.items()})
    return found


def names() -> list[str]:
    """The names of all calculations, in the order of the folders."""
    return list(_registry())


def folder_of(name: str) -> str:
    """The folder a calculation stands in."""
    return _registry()[name].split(".")[-2]


def calculation(name: str) -> Calculation:
    """The calculation of that name; `InputFault` with a hint when there is none."""
    registry = _registry()
    if name not in registry:
        from difflib import get_close_matches

        near = get_close_matches(name[:60], registry, n=1)
        hint = f' Did you mean "{near[0]}"?' if near else ""
        said = f'There is no calculation "{name[:60]}".{hint} "underboard calc --list" names them all.'
        raise InputFault("", said)
    found: Calculation = import_module(registry[name]).CALCULATION
    return found


def evaluate(name: str, raw: object) -> dict[str, Any]:
    """Run the calculation `name` on a decoded JSON object (see `contract.evaluate_with`)."""
    from underboard.core.agronomy.contract import evaluate_with

    return evaluate_with(calculation(name), raw)
