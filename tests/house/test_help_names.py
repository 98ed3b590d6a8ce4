"""What the help names exists: each command with its options, each file, each module, each test; and its how-tos fit."""

from __future__ import annotations

import argparse
import re
import tomllib
from functools import cache
from pathlib import Path

import pytest

from deploy.docs.follow import HOW_TO, changed, steps
from underboard.cli import ELSEWHERE, _parser
from underboard.core.agronomy import names

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "deploy" / "docs"
TEXTS = [*sorted((DOCS / "pages").glob("*.md")), ROOT / "README.md", ROOT / "DEVELOPERS.md"]
TEXTS += [ROOT / "deploy" / "certificates.md", ROOT / "deploy" / "loggers" / "README.md"]
#: Written in code type: a span inside a line, or a line of a block that is a command.
SPAN = re.compile(r"`([^`\n]+)`")
COMMAND = re.compile(r"(?<![\w/])(?:[~.\w/]+/bin/)?underboard ([a-z][a-z-]+)([^`|<>&\n]*)")
A_PATH = re.compile(r"(?:^|(?<=[\s`(]))((?:server|pwa|tests|deploy|fixtures)/[\w./-]*\w)(?![\w*{])")
#: Made by a build, so that they are not there in a fresh clone.
BUILT = (
    "server/underboard/web/client",
    "server/underboard/web/help",
    "pwa/node_modules",
    "deploy/many_plots/dist",
)


@cache
def commands() -> dict[str, set[str]]:
    """Every command with its options."""
    (subparsers,) = [one for one in _parser()._actions if isinstance(one, argparse._SubParsersAction)]
    return {
        name: {option for action in parser._actions for option in action.option_strings}
        for name, parser in subparsers.choices.items()
    }


def code_of(path: Path) -> list[str]:
    """What a page shows in code type, the files that its how-to makes left out."""
    text = path.read_text(encoding="utf-8")
    blocks = re.findall(r"^```(?:sh|bash)?\n(.*?)^```$", text, re.M | re.S)
    prose = re.sub(r"^```.*?^```$", "", text, flags=re.M | re.S)
    return [*SPAN.findall(prose), *(line for block in blocks for line in block.splitlines())]


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.name)
def test_each_command_that_is_named_exists_with_its_options(path: Path) -> None:
    made = {step.path for step in steps(path.stem)} if path.stem in HOW_TO else set()
    wrong = []
    for code in code_of(path):
        for command, rest in COMMAND.findall(code):
            if command in ELSEWHERE:
                called = rest.split()[:1]
                if command == "calc" and called and re.fullmatch("[a-z][a-z-]+", called[0]):
                    new = any(called[0].replace("-", "_") in one for one in made)
                    wrong += [code] if called[0] not in names() and not new else []
                continue
            options = commands().get(command)
            asked = set(re.findall(r"(?<!\S)--[a-z-]+", rest))
            if options is None or not asked <= options:
                wrong.append(code)
    assert wrong == []


@pytest.mark.parametrize("path", TEXTS, ids=lambda path: path.name)
def test_each_file_and_module_that_is_named_exists(path: Path) -> None:
    made = {step.path for step in steps(path.stem)} if path.stem in HOW_TO else set()
    wrong = []
    for code in code_of(path):
        for name in A_PATH.findall(code):
            if Path(name).stem.isupper() and not (ROOT / name).exists():  # tests/NAME stands for any
                continue
            if not (ROOT / name).exists() and name not in made and not name.startswith(BUILT):
                wrong.append(name)
        for module in re.findall(r"python -m ([\w.]+)", code):
            home = ROOT / ("server" if module.startswith("underboard") else ".")
            file = home / module.replace(".", "/")
            if not file.with_suffix(".py").is_file() and not (file / "__main__.py").is_file():
                wrong.append(module)
    assert wrong == []


@pytest.mark.parametrize("page", HOW_TO)
def test_what_a_how_to_changes_is_there_to_be_changed(page: str) -> None:
    """`python -m deploy.docs.follow` does all of it and runs its commands; that takes minutes."""
    texts: dict[str, str] = {}
    for step in steps(page):
        if step.kind != "sh":
            file = ROOT / step.path
            before = texts.get(step.path, file.read_text("utf-8") if file.is_file() else None)
            texts[step.path] = changed(step, before)
    assert len(texts) >= 3


def test_every_page_and_picture_is_small_and_shown() -> None:
    menu = (DOCS / "mkdocs.yml").read_text("utf-8")
    pages = {path.name: path.read_text("utf-8") for path in (DOCS / "pages").glob("*.md")}
    assert [name for name in pages if f": {name}\n" not in menu] == []
    shown = "\n".join(pages.values())
    for picture in (DOCS / "pictures").iterdir():
        assert f"pictures/{picture.name}" in shown, picture
        assert picture.stat().st_size <= 60_000, picture


def test_the_help_is_built_wherever_the_client_is() -> None:
    """By deploy/run and deploy/test, and into the wheel, which needs its builder."""
    table = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert any(line.startswith("mkdocs-material") for line in table["build-system"]["requires"])
    assert "server/underboard/web/help/**" in table["tool"]["hatch"]["build"]["artifacts"]
    assert "build_help.py" in (ROOT / "deploy" / "build_client.py").read_text("utf-8")
    for name in ("run", "test"):
        assert "build_help" in (ROOT / "deploy" / name).read_text("utf-8")
