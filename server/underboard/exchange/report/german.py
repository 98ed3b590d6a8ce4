"""German for reports. The sentences are in `german_words.py`; those of the rules in `german_phrases.json`.

`german_phrases.json` is the phone's own book (pwa/src/text/de), written by `python -m deploy.german_phrases`; a test
holds it fresh.
"""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import Any, Final

from underboard.exchange.report.german_words import COUNTED, WORDS
from underboard.exchange.report.tongue import ENGLISH, Tongue

BOOK: Final = Path(__file__).with_name("german_phrases.json")
MONTHS: Final = (
    "Januar", "Februar", "März", "April", "Mai", "Juni", "Juli", "August", "September", "Oktober", "November",
    "Dezember",
)  # fmt: skip
_END: Final = r"(?<=[.!?])\s+(?=[A-ZÄÖÜ])|(?<=[^\s.]{3}[.!?])\s+(?=\d)"
_SENTENCES: Final = re.compile(_END)
#: Whatever stands in a place, but never more than one sentence of it.
_INSIDE: Final = rf"((?:(?!{_END}).)+?)"
_PLACE: Final = re.compile(r"\{(\w+)\}")


class German(Tongue):
    """German, with a comma before the tenths."""

    code = "de"
    months_short: Sequence[str] = (
        "Jan",
        "Feb",
        "März",
        "Apr",
        "Mai",
        "Juni",
        "Juli",
        "Aug",
        "Sept",
        "Okt",
        "Nov",
        "Dez",
    )

    def say(self, english: str, /, **values: object) -> str:
        german = WORDS[english]
        return german.format(**values) if values else german

    def said(self, text: str) -> str:
        found = self._whole(text.strip())
        if found is not None:
            return found
        each = [self._whole(one) for one in _SENTENCES.split(text.strip())]
        return " ".join(one or "" for one in each) if None not in each else text

    def title(self, rule: str, title: str) -> str:
        return str(self._told["titles"].get(rule, title))

    def day(self, day: date) -> str:
        return f"{day.day}. {MONTHS[day.month - 1]} {day.year}"

    def short_day(self, day: date) -> str:
        return f"{day.day}. {self.months_short[day.month - 1]}"

    def month(self, month: int) -> str:
        return MONTHS[month - 1]

    def number(self, plain: str) -> str:
        return plain.replace(".", ",")

    def percent(self, share: float) -> str:
        return super().percent(share).replace("less than", "unter").replace("more than", "über")

    def count(self, n: int, one: str) -> str:
        return f"{n} {COUNTED[one][0 if n == 1 else 1]}"

    def listed(self, names: Sequence[str], most: int = 4) -> str:
        shown, more = list(names[:most]), len(names) - most
        if more > 0:
            return f"{', '.join(shown)} und {more} weitere"
        return f"{', '.join(shown[:-1])} und {shown[-1]}" if len(shown) > 1 else "".join(shown)

    @cached_property
    def _told(self) -> dict[str, Any]:
        told: dict[str, Any] = json.loads(BOOK.read_text(encoding="utf-8"))
        return told

    @cached_property
    def _phrases(self) -> list[tuple[str, re.Pattern[str], list[str], str]]:
        """Each phrase: what it begins with, by which most are passed over at once, what it fits, its places, German."""
        found = []
        for english, german in self._told["phrases"]:
            pieces = _PLACE.split(english)
            asks = "".join(re.escape(piece) if n % 2 == 0 else _INSIDE for n, piece in enumerate(pieces))
            found.append((pieces[0], re.compile(asks), pieces[1::2], german))
        return found

    @cached_property
    def _values(self) -> list[tuple[re.Pattern[str], str]]:
        return [(re.compile(english), german) for english, german in self._told["values"]]

    def _whole(self, text: str) -> str | None:
        for begin, asks, names, german in self._phrases:
            if text.startswith(begin) and (found := asks.fullmatch(text)):
                put = {name: self._value(words) for name, words in zip(names, found.groups(), strict=True)}
                return _PLACE.sub(lambda place, put=put: put.get(place[1], ""), german)  # type: ignore[misc]
        return None

    def _value(self, words: str) -> str:
        for english, german in self._values:
            words = english.sub(german, words)
        return words


GERMAN: Final = German()
TONGUES: Final[dict[str, Tongue]] = {one.code: one for one in (ENGLISH, GERMAN)}
