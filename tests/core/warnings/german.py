"""The German book of phrases, read as the phone reads it (pwa/src/text/phrases.ts)."""

from __future__ import annotations

import json
import re
from functools import cache
from pathlib import Path

BOOK = Path(__file__).parents[3] / "pwa" / "src" / "text" / "de"
FILES = ("phrases.ts", "phrases_pests.ts", "phrases_ground.ts", "phrases_answers.ts")  # in the order of de.ts
_STRING = r"""('(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")"""
_PAIR = re.compile(rf"\[\s*{_STRING},\s*{_STRING},?\s*\]")
_END = r"(?<=[.!?])\s+(?=[A-Z])|(?<=[^\s.]{3}[.!?])\s+(?=\d)"
#: Whatever stands in a place, but never more than one sentence of it.
_INSIDE = rf"(?:(?!{_END}).)+?"
_PLACE = re.compile(r"\{(\w+)\}")
_SENTENCES = re.compile(_END)


def english_phrases() -> list[str]:
    """The English side of every pair."""
    return [
        _text(pair[1]) for name in FILES for pair in _PAIR.finditer((BOOK / name).read_text(encoding="utf-8"))
    ]


def _text(literal: str) -> str:
    return literal[1:-1].replace("\\'", "'") if literal[0] == "'" else str(json.loads(literal))


@cache
def _patterns() -> list[tuple[str, re.Pattern[str]]]:
    """Each phrase with what it begins with, by which most are passed over at once."""
    found = []
    for phrase in english_phrases():
        pieces = _PLACE.split(phrase)
        regex = "".join(re.escape(piece) if i % 2 == 0 else _INSIDE for i, piece in enumerate(pieces))
        found.append((pieces[0], re.compile(regex)))
    return found


@cache
def _known(text: str) -> bool:
    return any(text.startswith(begin) and one.fullmatch(text) for begin, one in _patterns())


def unknown_in(text: str) -> list[str]:
    """Sentences of a text for which a German phone has no words; none when it knows the text as a whole."""
    if not text or _known(text):
        return []
    return [one for one in _SENTENCES.split(text) if not _known(one)]
