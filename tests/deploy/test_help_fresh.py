"""The help's drawn and generated parts are those of the code as it is, and its build keeps its promises."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

import pytest

from deploy.build_help import ROOT, SITE, made_from
from deploy.docs.addresses import PAGE, document, page
from deploy.docs.arrows import PICTURE, arrows, drawing, rows
from deploy.docs.hooks import relinked

BUILT = ROOT / SITE


def test_the_page_of_the_interface_is_fresh() -> None:
    assert PAGE.read_text("utf-8") == page(document()), "run python -m deploy.docs.addresses"


@pytest.fixture(scope="module")
def pairs() -> set[tuple[str, str]]:
    return arrows()


def test_the_drawing_of_the_rooms_is_fresh(pairs: set[tuple[str, str]]) -> None:
    assert PICTURE.read_text("utf-8") == drawing(pairs), "run python -m deploy.docs.arrows"


def test_the_drawing_has_every_room_of_the_contract_and_no_arrow_upwards(pairs: set[tuple[str, str]]) -> None:
    level = {room: n for n, row in enumerate(rows()) for room in row}
    assert {"cli", "web", "store", "core.agronomy"} <= set(level)
    assert [(who, whom) for who, whom in pairs if level[whom] <= level[who]] == []


def test_an_import_against_the_rows_would_be_drawn(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The drawing looks at the code: a forbidden import shows, in another colour."""
    (tmp_path / "core" / "agronomy").mkdir(parents=True)
    (tmp_path / "core" / "agronomy" / "bad.py").write_text("from underboard.store import db\n")
    (tmp_path / "store.py").write_text("import underboard.core.errors\n")
    monkeypatch.setattr("deploy.docs.arrows.PACKAGE", tmp_path)
    found = arrows()
    assert found == {("core.agronomy", "store"), ("store", "core.errors")}
    assert 'stroke="#961f10"' in drawing(found) and 'stroke="#961f10"' not in PICTURE.read_text("utf-8")


def test_links_between_files_become_links_between_pages() -> None:
    text = "[a](certificates.md) [b](../README.md) [c](https://x.org) [d](#here)"
    assert relinked(text, "deploy/security.md", "security.md") == (
        "[a](https.md) b (`README.md`) [c](https://x.org) [d](#here)"
    )


def test_what_it_is_made_from_is_noticed(tmp_path: Path) -> None:
    (tmp_path / "deploy" / "docs" / "pages").mkdir(parents=True)
    page_file = tmp_path / "deploy" / "docs" / "pages" / "a.md"
    page_file.write_text("# A\n")
    first = made_from(tmp_path)
    page_file.write_text("# B\n")
    assert made_from(tmp_path) != first


class Page(HTMLParser):
    """What a browser would fetch, and what the policy would refuse."""

    def __init__(self) -> None:
        super().__init__()
        self.refused: list[str] = []
        self.fetched: list[str] = []
        self.in_script = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.in_script = tag == "script" and "src" not in given and given.get("type") != "application/json"
        self.refused += [name for name in given if name == "style" or name.startswith("on")]
        self.refused += [tag] if tag in ("style", "iframe", "base") else []
        if tag in ("script", "img", "link"):
            self.fetched += [value for name, value in given.items() if name in ("src", "href")]

    def handle_data(self, data: str) -> None:
        if self.in_script and data.strip():
            self.refused.append(f"script: {data[:60]}")


def test_no_page_holds_what_the_policy_refuses_or_asks_another_machine() -> None:
    assert (BUILT / "index.html").is_file(), "build it: python -m deploy.build_help"
    files = list(BUILT.rglob("*.html"))
    assert len(files) > 30
    for file in files:
        seen = Page()
        seen.feed(file.read_text("utf-8"))
        assert seen.refused == [], file
        outside = [one for one in seen.fetched if "//" in one]
        assert outside == [], file
        missing = [
            one for one in seen.fetched if not (file.parent / one.split("#")[0].split("?")[0]).exists()
        ]
        assert missing == [], file
