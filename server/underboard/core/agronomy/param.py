"""How one input of a calculation is described."""

from __future__ import annotations

import keyword
from dataclasses import dataclass
from typing import Any, Final, Literal

Kind = Literal[
    "number",
    "integer",
    "count",
    "boolean",
    "text",
    "label",
    "choice",
    "date",
    "datetime",
    "numbers",
    "numbers_or_null",
    "integers",
    "integers_or_null",
    "counts",
    "counts_or_null",
    "booleans",
    "flag",
    "flags",
    "texts",
    "labels",
    "count_lists",
    "count_lists_or_null",
    "number_lists",
    "number_or_numbers",
    "object",
    "object_or_boolean",
    "objects",
    "named_counts",
    "named_numbers",
]

#: list kind → (kind of each item, may an item be null)
LIST_OF: Final[dict[str, tuple[Kind, bool]]] = {
    "numbers": ("number", False),
    "numbers_or_null": ("number", True),
    "integers": ("integer", False),
    "integers_or_null": ("integer", True),
    "counts": ("count", False),
    "counts_or_null": ("count", True),
    "booleans": ("boolean", False),
    "flags": ("flag", False),
    "texts": ("text", False),
    "labels": ("label", False),
    "count_lists": ("counts", False),
    "count_lists_or_null": ("counts_or_null", False),
    "number_lists": ("numbers", False),
    "objects": ("object", False),
}
#: named kind → kind of each value
NAMED: Final[dict[str, Kind]] = {"named_counts": "counts", "named_numbers": "numbers"}

LARGEST_NUMBER: Final = 1e12
LARGEST_COUNT: Final = 10**9
LONGEST_LIST: Final = 1_000_000
LONGEST_TEXT: Final = 200


class _NoDefault:
    """The mark of an input that has no default."""


NO_DEFAULT: Final = _NoDefault()


@dataclass(frozen=True)
class Param:
    """One input.

    Parameters
    ----------
    key
        The key in the JSON object; it ends with its unit where it has one.
    kind
        See `Kind`. Lists become tuples, dates `datetime.date`, date-times aware `datetime`, objects dicts.
        A count is a whole number from 0. Whole floats (3.0) count as integers; booleans never do.
        A flag is 1 or 0, true or false.
    required
        Must be present. An optional input that is absent, or null, is not passed to the function.
    default
        For the explanation; a test proves that it equals the function's own default.
    unit
        Shown in the explanation, such as "°C".
    low, high
        Allowed range of each number, inclusive unless `low_open` / `high_open`. Without them numbers up to
        1e12 either way are taken, counts up to 1e9.
    choices
        The allowed words of a `choice`.
    doc
        One sentence.
    min_len, max_len
        Length of a list (of the outer list, when nested), or of a text.
    fields
        For `object` and `objects`: the inputs inside. There absent optional ones are filled with `default`
        (or left out when there is none).
    extra_ok
        For objects: unknown keys are left alone (so that one answer can be handed on as an input).
    """

    key: str
    kind: Kind
    required: bool = True
    default: Any = NO_DEFAULT
    unit: str = ""
    low: float | None = None
    high: float | None = None
    low_open: bool = False
    high_open: bool = False
    choices: tuple[str, ...] = ()
    doc: str = ""
    min_len: int = 0
    max_len: int = LONGEST_LIST
    fields: tuple[Param, ...] = ()
    extra_ok: bool = False

    @property
    def argument(self) -> str:
        """The keyword of the function: the key, with an underscore after Python's own words (`from_`)."""
        return f"{self.key}_" if keyword.iskeyword(self.key) else self.key

    @property
    def lowest(self) -> float:
        """The lowest number taken."""
        if self.low is not None:
            return self.low
        return 0 if "count" in self.kind else -LARGEST_NUMBER

    @property
    def highest(self) -> float:
        """The highest number taken."""
        if self.high is not None:
            return self.high
        return LARGEST_COUNT if "count" in self.kind else LARGEST_NUMBER

    def range_words(self) -> str:
        """The allowed range in words, as errors and explanations say it."""
        low, high = plain(self.lowest), plain(self.highest)
        low_words = f"above {low}" if self.low_open else f"from {low}"
        high_words = f"below {high}" if self.high_open else f"to {high}"
        return f"{low_words} {high_words}"


#: The level of an interval, as nearly every calculation takes it.
LEVEL: Final = Param(
    "level",
    "number",
    required=False,
    default=0.95,
    low=0,
    high=1,
    low_open=True,
    high_open=True,
    doc="Level of the interval.",
)


def plain(number: float) -> str:
    """A bound without a needless decimal: 0, 1.5, 1e+12."""
    return f"{number:.12g}"
