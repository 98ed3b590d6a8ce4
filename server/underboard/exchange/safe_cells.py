"""Text in a cell that a spreadsheet must not take for a formula, and the way back.

A spreadsheet runs what begins with = + - @ (full-width ones too), a tab or a line break, with or without blanks
before it: OWASP, "CSV Injection". An apostrophe in front makes it text. A text that has apostrophes of its own in
front of such a character gets one more, so that taking one away gives back exactly what was written.
"""

from __future__ import annotations

import re
from typing import Final

_RUNS: Final = re.compile(r"'*\s*[=+\-@＝＋－＠\t\r\n]")
_GUARDED: Final = re.compile(r"'+\s*[=+\-@＝＋－＠\t\r\n]")


def guarded(text: str) -> str:
    """Return the text as it may stand in a cell."""
    if text[:1].isalnum():  # most cells; no letter or digit starts a formula
        return text
    return f"'{text}" if _RUNS.match(text) else text


def unguarded(text: str) -> str:
    """Return what `guarded` was given."""
    return text[1:] if _GUARDED.match(text) else text
