"""Every vector file is read by both sides, and no calculation of the client goes without one."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from underboard.core.agronomy import calculation, evaluate, names

HOUSE = Path(__file__).parents[2]
VECTORS = {path.stem for path in (HOUSE / "fixtures" / "vectors").glob("*.json")} - {"schema"}
CLIENT = HOUSE / "pwa" / "src" / "agronomy"
#: Client test → the vector file it holds its calculation to.
READ = {
    path.name: found[1]
    for path in CLIENT.glob("*.test.ts")
    if (found := re.search(r"holdToVectors\('([a-z-]+)', \w+\)", path.read_text()))
}
#: Calculations that the front door of the client exports, in kebab-case.
EXPORTED = {
    re.sub(r"([A-Z])", r"-\1", name).lower()
    for line in re.findall(r"export \{(.*?)\}", (CLIENT / "index.ts").read_text(), re.S)
    for name in re.split(r",\s*", line.strip().rstrip(","))
    if not name.startswith("type ") and name[:1].islower()
}
#: The libraries that the server cites beside the publication and that the phone does without.
SERVER_LIBRARIES = (r"pint [\d.]+ \((.*?)\)", r"()(?:; )?astral [\d.]+")


def test_every_vector_file_is_read_by_the_client() -> None:
    assert set(READ.values()) == VECTORS


def test_every_vector_file_names_a_calculation_of_the_server() -> None:
    """tests/core/agronomy/test_vectors.py runs each of them; a name it does not know would fail there."""
    assert set(names()) >= VECTORS


def test_every_calculation_of_the_client_has_its_vectors() -> None:
    assert EXPORTED == VECTORS


@pytest.mark.parametrize("test_file", READ)
def test_the_mirror_stands_beside_its_test(test_file: str) -> None:
    """humidity.test.ts holds humidity.ts, which says the same source as the server."""
    mirror = CLIENT / test_file.replace(".test.ts", ".ts")
    said = re.sub(r"\s+", " ", mirror.read_text())
    source = evaluate(READ[test_file], calculation(READ[test_file]).example)["source"]
    for library in SERVER_LIBRARIES:
        source = re.sub(library, r"\1", source)
    assert source in said, f'{mirror.name} must say the source as the server does: "{source}"'
