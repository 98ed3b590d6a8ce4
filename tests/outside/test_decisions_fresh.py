"""The stored decisions are what the independent tools still say."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.outside.test_vectors_fresh import alike

HERE = Path(__file__).parent
STORED = HERE.parents[1] / "fixtures" / "vectors" / "decisions"


@pytest.fixture(scope="module")
def anew(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("decisions")
    command = [sys.executable, str(HERE / "make_decisions.py"), "--into", str(folder)]
    subprocess.run(command, check=True, capture_output=True, timeout=280)
    return folder


@pytest.mark.parametrize("name", sorted(path.name for path in STORED.glob("*.json")))
def test_stored_decisions_are_fresh(name: str, anew: Path) -> None:
    alike(json.loads((STORED / name).read_text("utf-8")), json.loads((anew / name).read_text("utf-8")), name)
