"""The one unit registry, and the words for units that growers use.

It stands in the innermost room because the calculation `convert` needs it; `core.units`, one room further
out, builds on it. No conversion factor is written anywhere else.

Words that mean something else to a pint registry than to a British grower are settled here: "acre" is the
international acre, "pint", "gallon", "quart" and "fluid_ounce" are imperial unless ``us_`` stands before
them, and "rod", "pole" and "perch" are the allotment's measure of area, 5½ yards square.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final

if TYPE_CHECKING:
    from pint import UnitRegistry

_OURS: Final = (
    "international_acre = 4840 * yard ** 2",
    "allotment_rod = (5.5 * yard) ** 2",
)
_VOLUMES: Final = ("pint", "gallon", "quart", "fluid_ounce")
_WORDS: Final[dict[str, str]] = {
    **dict.fromkeys(("acre", "acres"), "international_acre"),
    **dict.fromkeys(("rod", "rods", "pole", "poles", "perch", "perches"), "allotment_rod"),
    **dict.fromkeys(("sq_yd", "sqyd"), "yard**2"),
    **dict.fromkeys(("sq_m", "sqm"), "meter**2"),
    **dict.fromkeys(("sq_ft", "sqft"), "foot**2"),
    **{name: f"imperial_{name}" for name in _VOLUMES},
    **{f"{name}s": f"imperial_{name}" for name in _VOLUMES},
    **{f"us_{name}": name for name in _VOLUMES},
    **{f"us_{name}s": name for name in _VOLUMES},
}
_TOKENS: Final = re.compile(
    r"\s*(?:(?P<power>(?:\*\*|\^)\s*-?\d)(?!\d)|(?P<sign>[*/])|(?P<one>1)(?=\s*/)|(?P<word>[A-Za-z_°µ]+)(?P<raised>[23²³]?))"
)
_SQUARE: Final = re.compile(r"\b(square|sq|cubic)[ _]+([A-Za-z]+)")
LONGEST_UNIT: Final = 60


class NotAUnit(ValueError):
    """Words that are no unit."""

    def __init__(self, words: str) -> None:
        super().__init__(
            f'"{words[:LONGEST_UNIT]}" is not a unit; write it like degC, m**2, kg/hectare, square yard, rod.'
        )


@lru_cache(maxsize=1)
def registry() -> UnitRegistry[Any]:
    """The registry, built at the first call (about half a second)."""
    from pint import UnitRegistry

    made: UnitRegistry[Any] = UnitRegistry()
    for line in _OURS:
        made.define(line)
    return made


def spelled_for_registry(words: str) -> str:
    """Turn a grower's unit into the registry's spelling.

    Only words, ``*``, ``/`` and small whole powers pass, so that nothing typed can be taken for a program or
    keep the machine busy.

    Raises
    ------
    NotAUnit
        When something else stands in it.

    Examples
    --------
    >>> spelled_for_registry("lb/acre")
    'lb/international_acre'
    >>> spelled_for_registry("square yard")
    'yard**2'
    """
    text = _SQUARE.sub(lambda found: f"{found[2]}**{3 if found[1] == 'cubic' else 2}", words.strip())
    if not text or len(text) > LONGEST_UNIT:
        raise NotAUnit(words)
    parts: list[str] = []
    place = 0
    while place < len(text):
        found = _TOKENS.match(text, place)
        if found is None:
            raise NotAUnit(words)
        place = found.end()
        if found["word"]:
            word = _WORDS.get(found["word"], found["word"])
            power = {"²": "**2", "³": "**3", "": ""}.get(found["raised"], f"**{found['raised']}")
            after_word = bool(parts) and parts[-1] not in ("*", "/")
            parts.append(("*" if after_word else "") + word + power)
        else:
            parts.append(re.sub(r"\s", "", found[0]).replace("^", "**"))
    if parts[-1] in ("*", "/"):
        raise NotAUnit(words)
    return "".join(parts)


def parse_unit(words: str) -> Any:
    """The registry's unit for a grower's words.

    Raises
    ------
    NotAUnit
        When it is none.
    """
    from pint.errors import PintError

    try:
        return registry().Unit(spelled_for_registry(words))
    except (PintError, AttributeError, KeyError, SyntaxError, TypeError, ValueError) as error:
        raise NotAUnit(words) from error
