"""How a vector file is put together and written."""

import json
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parents[3] / "fixtures" / "vectors"
EXACT = {"rel": 1e-9, "abs": 1e-12}


class Vectors:
    """The cases of one calculation, written as fixtures/vectors/NAME.json."""

    def __init__(
        self,
        calculation: str,
        *,
        source: str,
        computed_with: str,
        notes: Mapping[str, str],
        tolerance: Mapping[str, Any] = EXACT,
    ) -> None:
        self.head = {
            "calculation": calculation,
            "source": source,
            "computed_with": computed_with,
            "notes": {
                **notes,
                "refused": "Nonsense is refused with a pointer to the value; nothing is guessed.",
            },
            "tolerance": dict(tolerance),
        }
        self.cases: list[dict[str, Any]] = []

    def answer(
        self,
        name: str,
        comment: str,
        given: Mapping[str, Any],
        out: Mapping[str, Any],
        *,
        flags: tuple[str, ...] = (),
        says: Mapping[str, list[str]] | None = None,
        tolerance: Mapping[str, Any] | None = None,
    ) -> None:
        case: dict[str, Any] = {"id": name, "comment": comment, "flags": list(flags), "in": given, "out": out}
        if says is not None:
            case["says"] = says
        if tolerance is not None:
            case["tolerance"] = tolerance
        self.cases.append(case)

    def refused(self, name: str, comment: str, given: Mapping[str, Any], pointer: str) -> None:
        self.cases.append(
            {"id": name, "comment": comment, "flags": ["refused"], "in": given, "error": pointer}
        )

    def write(self, folder: Path = FOLDER) -> None:
        used = {flag for case in self.cases for flag in case["flags"]}
        notes = {flag: why for flag, why in self.head["notes"].items() if flag in used}
        text = json.dumps(
            {**self.head, "notes": notes, "cases": self.cases}, indent=1, ensure_ascii=False, allow_nan=False
        )
        # A list of plain values stands in one line, or a year of readings would fill ten pages.
        text = re.sub(r"\[[^][{}]*\]", lambda found: re.sub(r"\s*\n\s*", " ", found[0]), text)
        (folder / f"{self.head['calculation']}.json").write_text(text + "\n", encoding="utf-8")
