"""Server and phone give the same answer to the same question: numbers, nulls, refusals and sentences.

The vectors say what is right; this says that the two never part, on inputs nobody thought of.
"""

from __future__ import annotations

import datetime as dt
import json
import subprocess
from pathlib import Path
from random import Random
from typing import Any

import pytest

from tests.core.agronomy.mirror_inputs import INPUTS, spoiled
from underboard.core.agronomy import evaluate
from underboard.core.errors import InputFault

HERE = Path(__file__).parent
VECTORS = {path.stem for path in (HERE.parents[2] / "fixtures" / "vectors").glob("*.json")} - {"schema"}
LIKELY, SPOILED = 60, 40
#: Where the answers may differ in words: the phone has its own table of units and its own sun.
OWN_WORDS = {"convert": {"method", "source", "unit"}, "sun": {"source"}}
#: Two methods for the sun's position, each good to a minute up to 60° of latitude.
SUN_SECONDS = 90


def questions(name: str) -> list[dict[str, Any]]:
    rng = Random(f"{name} 2026")
    made = [INPUTS[name](rng) for _ in range(LIKELY + SPOILED)]
    return made[:LIKELY] + [spoiled(rng, given) for given in made[LIKELY:]]


@pytest.fixture(scope="module")
def phone() -> dict[str, list[dict[str, Any]]]:
    """The phone's answers to all questions, from one run of its code."""
    asked = [(name, given) for name in INPUTS for given in questions(name)]
    lines = "\n".join(json.dumps(pair) for pair in asked)
    run = subprocess.run(
        ["node", str(HERE / "phone_side.mjs")], input=lines, capture_output=True, text=True, timeout=240
    )
    assert run.returncode == 0, run.stderr
    answers: dict[str, list[dict[str, Any]]] = {name: [] for name in INPUTS}
    for (name, _), line in zip(asked, run.stdout.splitlines(), strict=True):
        answers[name].append(json.loads(line))
    return answers


def server(name: str, given: dict[str, Any]) -> dict[str, Any]:
    try:
        return {"out": evaluate(name, given)}
    except InputFault as fault:
        return {"error": fault.pointer}


def same(got: Any, want: Any, at: str) -> None:
    if isinstance(want, bool) or want is None or isinstance(got, bool):
        assert got is want, f"{at}: phone {got!r}, server {want!r}"
    elif isinstance(want, int | float):
        assert isinstance(got, int | float), f"{at}: phone {got!r}, server {want!r}"
        assert got == pytest.approx(want, rel=1e-9, abs=1e-10), f"{at}: phone {got!r}, server {want!r}"
    elif isinstance(want, dict):
        assert set(got) == set(want), f"{at}: phone {sorted(got)}, server {sorted(want)}"
        for key, value in want.items():
            same(got[key], value, f"{at}/{key}")
    elif isinstance(want, list):
        assert len(got) == len(want), f"{at}: phone {got!r}, server {want!r}"
        for i, value in enumerate(want):
            same(got[i], value, f"{at}/{i}")
    elif got != want:
        apart = dt.datetime.fromisoformat(got) - dt.datetime.fromisoformat(want)
        assert abs(apart.total_seconds()) <= SUN_SECONDS, f"{at}: phone {got!r}, server {want!r}"


def test_every_vector_file_has_inputs_here() -> None:
    assert set(INPUTS) == VECTORS


@pytest.mark.parametrize("name", INPUTS)
def test_phone_and_server_agree(name: str, phone: dict[str, list[dict[str, Any]]]) -> None:
    refused = 0
    for given, mine in zip(questions(name), phone[name], strict=True):
        want = server(name, given)
        refused += "error" in want
        for key in OWN_WORDS.get(name, ()):
            mine.get("out", {}).pop(key, None)
            want.get("out", {}).pop(key, None)
        try:
            same(mine, want, "")
        except (AssertionError, ValueError, TypeError) as fault:
            pytest.fail(f"underboard calc {name} < {json.dumps(given)}\n{fault}")
    assert SPOILED / 3 < refused < SPOILED + LIKELY / 1.5, f"{refused} refused: the inputs test too little"
