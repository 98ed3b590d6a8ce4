"""The pictures beside the calculations' pages are those that the docs build draws now."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest

from deploy.pictures import PAGES, PICTURES, picture
from underboard.core.agronomy import folder_of, names

NUMBER = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")
SERVER = Path(__file__).parents[2] / "server"
#: Points of a picture 461 points wide: another machine's arithmetic may round a hundredth the other way.
CLOSE = 0.02


def test_pictures_are_of_calculations_and_none_is_left_over() -> None:
    assert set(PICTURES) <= set(names())
    assert {path.stem for path in PAGES.glob("*.svg")} == set(PICTURES)


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_fresh(name: str) -> None:
    kept, now = (PAGES / f"{name}.svg").read_text("utf-8"), picture(name)
    # Names of shapes are hashes of their coordinates and change with the last digit.
    kept, now = (re.sub(r"\b[mp][0-9a-f]{10}\b", "shape", text) for text in (kept, now))
    assert NUMBER.sub("#", kept) == NUMBER.sub("#", now), (
        f"{name}.svg is stale: run python -m deploy.pictures"
    )
    pairs = zip(NUMBER.findall(kept), NUMBER.findall(now), strict=True)
    assert all(abs(float(was) - float(is_now)) <= CLOSE for was, is_now in pairs), f"{name}.svg is stale"


@pytest.mark.parametrize("name", PICTURES)
def test_a_picture_is_small_names_its_axes_and_says_what_it_shows(name: str) -> None:
    text = (PAGES / f"{name}.svg").read_text("utf-8")
    assert len(text) < 25_000 and "http://purl.org" not in text
    root = ElementTree.fromstring(text)
    says = root.find("{http://www.w3.org/2000/svg}title")
    assert says is not None and says.text is not None and says.text.endswith(".")
    assert says.text in (PAGES / f"{folder_of(name)}.md").read_text("utf-8")
    words = [node.text or "" for node in root.iter("{http://www.w3.org/2000/svg}text")]
    assert any(re.search(r"[a-z]{3}", word) for word in words)


def test_a_picture_drawn_from_another_example_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    """The freshness test would see a changed calculation: the same drawing of other counts differs."""
    from underboard.core.agronomy import calculation

    before = picture("count-summary")
    monkeypatch.setitem(
        calculation("count-summary").example, "counts", [14, 2, 0, 31, 5, 9, 0, 3, 22, 1, 6, 5]
    )
    assert NUMBER.findall(picture("count-summary")) != NUMBER.findall(before)


def test_the_package_itself_never_imports_the_drawing_library() -> None:
    for path in SERVER.rglob("*.py"):
        assert not re.search(r"^\s*(import|from) (matplotlib|deploy)\b", path.read_text("utf-8"), re.M), path
    script = "import sys, underboard.cli.calc_pages as c; c.pages(); print('matplotlib' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"
