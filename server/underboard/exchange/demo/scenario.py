"""Reading the invented scenario: a JSON file, in the wheel beside this module, in a clone under fixtures/."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class Scenario:
    """The invented holding as it stands in scenario.json."""

    plot: dict[str, Any]
    members: list[dict[str, str]]
    places: list[dict[str, Any]]
    traps: list[str]
    thermometers: list[dict[str, Any]]
    crops: list[dict[str, Any]]
    treatments: list[dict[str, Any]]
    frost_on: str
    surge: dict[str, Any]
    away: dict[str, str]


@cache
def load_scenario() -> Scenario:
    here = Path(__file__).resolve()
    for path in (here.parent / "scenario" / "scenario.json", here.parents[4] / "fixtures/demo/scenario.json"):
        if path.is_file():
            raw = json.loads(path.read_text(encoding="utf-8"))
            raw.pop("about")
            return Scenario(**raw)
    raise FileNotFoundError("the demo's scenario.json is not in this installation")
