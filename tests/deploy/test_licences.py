"""The page of licences: what the lists say is read rightly, and no part is left out."""

from __future__ import annotations

import json
import re
import tomllib
from importlib.metadata import distribution
from pathlib import Path

import pytest

from deploy.licences import IN_ITS_FILE, PACKED, licence_of, page, shipped

ROOT = Path(__file__).parents[2]
DEVELOPMENT = [{"name": "cdx:npm:package:development", "value": "true"}]


@pytest.mark.parametrize(
    ("said", "read"),
    [
        ([{"license": {"id": "MIT"}}], "MIT"),
        ([{"expression": "MIT AND Python-2.0"}], "MIT AND Python-2.0"),
        ([{"license": {"id": "BSD-3-Clause"}}, {"license": {"name": "License :: OSI Approved :: BSD License"}}],
         "BSD-3-Clause"),
        ([{"license": {"name": "License :: OSI Approved :: BSD License"}}], "BSD License"),
        ([{"license": {"name": "declared license of 'x'", "text": {"content": "…"}}}, {"license": {"id": "ISC"}}],
         "ISC"),
        ([], "not said by the package"),
    ],
)  # fmt: skip
def test_what_a_package_says_of_its_licence(said: list[object], read: str) -> None:
    assert licence_of({"name": "x", "licenses": said}) == read


def test_what_reaches_a_phone_is_listed_and_tools_of_the_build_are_not() -> None:
    parts = [
        {"name": "preact"},
        {"name": "vite", "properties": DEVELOPMENT},
        {"name": "workbox-routing", "properties": DEVELOPMENT},
        {"group": "@preact", "name": "signals"},
    ]
    assert [one["name"] for one in shipped({"components": parts})] == ["preact", "workbox-routing", "signals"]
    made = page({"components": [{"name": "flask"}, {"name": "underboard"}]}, {"components": parts})
    assert "| `@preact/signals` |" in made and "| `underboard` |" not in made and "| `vite` |" not in made


def test_every_part_stands_on_the_page_with_a_licence() -> None:
    """Of the package and of the client; `deploy/release_check --papers` writes the page anew."""
    text = (ROOT / "deploy" / "docs" / "pages" / "licences.md").read_text("utf-8").lower()
    told = dict(re.findall(r"^\| `([^`]+)` \| (.+) \|$", text, re.M))
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    wanted = {re.split(r"[\[><=]", line)[0] for line in project["dependencies"]}
    client = json.loads((ROOT / "pwa" / "package.json").read_text("utf-8"))
    wanted |= {*client["dependencies"], *PACKED}
    assert sorted(wanted - set(told)) == []
    assert [
        name for name, licence in told.items() if "not said" in licence or "gpl" in licence.split("lgpl")[0]
    ] == []


@pytest.mark.parametrize("name", IN_ITS_FILE)
def test_what_a_person_read_stands_in_the_licence_file(name: str) -> None:
    (file,) = [one for one in distribution(name).files or () if one.name == "LICENSE"]
    assert IN_ITS_FILE[name] in file.read_text().splitlines()[0]
