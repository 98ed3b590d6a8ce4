"""The table of deploy/security.md names tests that exist, and no item of it is left without one."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
TABLE = (ROOT / "deploy" / "security.md").read_text("utf-8")
NAMED = sorted(set(re.findall(r"`(tests/[\w/]+\.py)(?:::(\w+))?`", TABLE)))


def rows() -> list[list[str]]:
    """The cells of every line of the tables that have a column for tests."""
    body = TABLE.split("## Text, input, files")[1]
    lines = [line.strip().strip("|").split(" | ") for line in body.splitlines() if line.startswith("|")]
    return [cells for cells in lines if cells[0].strip()[0].isdigit()]


def test_every_named_test_exists() -> None:
    assert len(NAMED) > 60
    gone = []
    for file, name in NAMED:
        path = ROOT / file
        text = path.read_text("utf-8") if path.is_file() else ""
        if not text or (name and f"def {name}(" not in text):
            gone.append(f"{file}::{name}")
    assert gone == []


def test_every_item_names_a_test_and_a_place_that_exists() -> None:
    assert len(rows()) > 60
    for cells in rows():
        assert len(cells) == 3 and "`tests/" in cells[2], cells
        for place in re.findall(
            r"`((?:web|core|store|notify|cli|certificates)/[\w/]+\.py|pwa/src/[\w.]+|config\.py)`", cells[1]
        ):
            there = ROOT / place if place.startswith("pwa/") else ROOT / "server" / "underboard" / place
            assert there.is_file(), place
