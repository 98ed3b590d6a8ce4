"""Areas of outlines, worked out by hand; the phone's sketch reads the same cases (pwa sketch/geometry.test.ts)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from underboard.core.places import outline_area_m2

CASES = json.loads((Path(__file__).parents[2] / "fixtures/sketch/outlines.json").read_text(encoding="utf-8"))[
    "cases"
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["name"]))
def test_the_area_is_what_it_is_by_hand(case: dict[str, Any]) -> None:
    assert outline_area_m2(case["outline"]) == pytest.approx(case["area_m2"], abs=1e-9)
