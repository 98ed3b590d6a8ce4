"""Reads the outside data: a table as rows of text, its companion as JSON."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parents[2] / "fixtures" / "outside"


def rows(name: str) -> list[dict[str, str]]:
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def about(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text("utf-8"))
    return found
