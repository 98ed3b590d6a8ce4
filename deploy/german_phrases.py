"""Write the phone's German book for the server's reports anew: `python -m deploy.german_phrases`.

Read from pwa/src/text/de as text: pairs of strings, and the expressions by which numbers and dates in their places are
put. What JavaScript's expressions say otherwise than Python's is changed on the way.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).parents[1]
BOOK: Final = ROOT / "pwa/src/text/de"
TARGET: Final = ROOT / "server/underboard/exchange/report/german_phrases.json"
FILES: Final = (
    "phrases.ts",
    "phrases_pests.ts",
    "phrases_ground.ts",
    "phrases_answers.ts",
)  # in the order of de.ts
_STRING: Final = r"""('(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")"""
_PAIR: Final = re.compile(rf"\[\s*{_STRING},\s*{_STRING},?\s*\]")
_VALUE: Final = re.compile(
    rf"\[\s*/((?:[^/\\]|\\.)+)/gu?,\s*{_STRING},?\s*\]|\[\s*/(\^(?:[^/\\]|\\.)+)/,\s*{_STRING},?\s*\]"
)
_TITLE: Final = re.compile(rf"^  (\w+)_title:\s*{_STRING},$", re.M)
_LETTERS: Final = {r"\p{Lu}": "[A-ZÀ-ÖØ-Þ]", r"\p{L}": r"[^\W\d_]"}


def made() -> str:
    """Return the file as it should be."""
    texts = [(BOOK / name).read_text(encoding="utf-8") for name in FILES]
    phrases = [(plain(pair[1]), plain(pair[2])) for text in texts for pair in _PAIR.finditer(text)]
    values = [
        (expression(one[1] or one[3]), re.sub(r"\$(\d)", r"\\\1", plain(one[2] or one[4])))
        for one in _VALUE.finditer((BOOK / "values.ts").read_text(encoding="utf-8"))
    ]
    titles = {
        one[1]: plain(one[2]) for one in _TITLE.finditer((BOOK / "rules.ts").read_text(encoding="utf-8"))
    }
    told = {"phrases": phrases, "values": values, "titles": titles}
    return json.dumps(told, ensure_ascii=False, indent=1) + "\n"


def plain(literal: str) -> str:
    """Return what a string in the source says."""
    return literal[1:-1].replace("\\'", "'") if literal[0] == "'" else str(json.loads(literal))


def expression(own: str) -> str:
    for theirs, ours in _LETTERS.items():
        own = own.replace(theirs, ours)
    return own


if __name__ == "__main__":
    TARGET.write_text(made(), encoding="utf-8")
