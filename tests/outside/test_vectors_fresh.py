"""The stored vectors are what the independent tools still say, and no file was written by hand."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

HERE = Path(__file__).parent
STORED = HERE.parents[1] / "fixtures" / "vectors"
NAMES = sorted(path.stem for path in STORED.glob("*.json") if path.stem != "schema")


@pytest.fixture(scope="module")
def anew(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """All vector files, written again by scipy, statsmodels, ephem and pint."""
    folder = tmp_path_factory.mktemp("vectors")
    command = [sys.executable, str(HERE / "make_vectors"), "--into", str(folder)]
    subprocess.run(command, check=True, capture_output=True, timeout=280)
    return folder


def alike(stored: Any, fresh: Any, at: str) -> None:
    if isinstance(stored, dict):
        assert stored.keys() == fresh.keys(), at
        for key in stored.keys() - {"computed_with"}:  # the version of a tool may move on, its answer not
            alike(stored[key], fresh[key], f"{at}/{key}")
    elif isinstance(stored, list):
        assert len(stored) == len(fresh), at
        for i, entry in enumerate(stored):
            alike(entry, fresh[i], f"{at}/{i}")
    elif isinstance(stored, float):
        assert fresh == pytest.approx(stored, rel=1e-9, abs=1e-12), at
    else:
        assert stored == fresh, at


@pytest.mark.parametrize("name", NAMES)
def test_vector_file_is_fresh(name: str, anew: Path) -> None:
    assert (anew / f"{name}.json").exists(), f"no generator in make_vectors writes {name}.json"
    alike(
        json.loads((STORED / f"{name}.json").read_text()),
        json.loads((anew / f"{name}.json").read_text()),
        name,
    )


def test_every_generator_has_its_stored_file(anew: Path) -> None:
    assert sorted(path.stem for path in anew.glob("*.json")) == NAMES
