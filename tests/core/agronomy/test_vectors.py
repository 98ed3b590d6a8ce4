"""The server answers the shared vectors, the same files that hold the client's calculations.

Expected values come from published tables and independent tools; each file in fixtures/vectors names them
under "source" and "computed_with".
"""

from __future__ import annotations

import datetime as dt
import json
import math
import re
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from underboard.core.agronomy import evaluate
from underboard.core.errors import InputFault

FOLDER = Path(__file__).parents[3] / "fixtures" / "vectors"
FILES = {
    path.stem: json.loads(path.read_text()) for path in sorted(FOLDER.glob("*.json")) if path.stem != "schema"
}
CASES = [
    pytest.param(file, case, id=f"{name}-{case['id']}")
    for name, file in FILES.items()
    for case in file["cases"]
]
TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d")


def agrees(got: Any, want: Any, tolerance: dict[str, Any], at: str) -> None:
    if isinstance(want, bool) or want is None:
        assert got is want, f"{at}: got {got}, want {want}"
    elif isinstance(want, int | float):
        assert isinstance(got, int | float) and not isinstance(got, bool), f"{at}: {got!r} is no number"
        room = tolerance.get("abs", 0) + tolerance.get("rel", 0) * abs(want)
        assert abs(got - want) <= room, f"{at}: got {got!r}, want {want!r}"
    elif isinstance(want, list):
        assert len(got) == len(want), f"{at}: {len(got)} entries, want {len(want)}"
        for i, (one, other) in enumerate(zip(got, want, strict=True)):
            agrees(one, other, tolerance, f"{at}/{i}")
    elif isinstance(want, dict):
        for key, other in want.items():
            assert key in got, f"{at}/{key} is not in the answer"
            agrees(got[key], other, tolerance, f"{at}/{key}")
    elif isinstance(want, str) and TIME.match(want) and "seconds" in tolerance:
        one, other = dt.datetime.fromisoformat(got), dt.datetime.fromisoformat(want)
        assert abs((one - other).total_seconds()) <= tolerance["seconds"], f"{at}: got {got}, want {want}"
        assert one.utcoffset() == other.utcoffset(), f"{at}: got {got}, want {want}"
    else:
        assert got == want, f"{at}: got {got!r}, want {want!r}"


def finite(value: Any, at: str) -> None:
    if isinstance(value, float):
        assert math.isfinite(value), f"{at} is {value}"
    elif isinstance(value, dict | list):
        for key, entry in value.items() if isinstance(value, dict) else enumerate(value):
            finite(entry, f"{at}/{key}")


@pytest.mark.parametrize(("file", "case"), CASES)
def test_server_answers_the_vector(file: dict[str, Any], case: dict[str, Any]) -> None:
    if "error" in case:
        with pytest.raises(InputFault) as caught:
            evaluate(file["calculation"], case["in"])
        assert caught.value.pointer == case["error"]
        return
    answer = evaluate(file["calculation"], case["in"])
    finite(answer, "")
    agrees(answer, case["out"], {**file["tolerance"], **case.get("tolerance", {})}, "")
    for key, words in case.get("says", {}).items():
        sentences = answer.get(key) or []
        assert words or not sentences, f"{key} should be empty, not {sentences}"
        for word in words:
            assert word.lower() in " ".join(sentences).lower(), f'{key} should say "{word}": {sentences}'


@pytest.mark.parametrize("name", FILES)
def test_vector_file_follows_the_schema(name: str) -> None:
    """Each file has its source, its tool, and a reason for every flag it uses."""
    file = FILES[name]
    schema = json.loads((FOLDER / "schema.json").read_text())
    Draft202012Validator(schema).validate(file)
    assert file["calculation"] == name
    ids = [case["id"] for case in file["cases"]]
    assert len(ids) == len(set(ids))
    assert {flag for case in file["cases"] for flag in case["flags"]} == set(file["notes"])
    tolerances = [file["tolerance"], *(case["tolerance"] for case in file["cases"] if "tolerance" in case)]
    for tolerance in tolerances:
        wide = tolerance.get("rel", 0) > 1e-9 or tolerance.get("abs", 0) > 1e-9
        assert not wide or tolerance.get("reason"), f"{name}: say why {tolerance} is wider than 1e-9"
