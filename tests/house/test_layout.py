"""The rules of the house that no linter knows: what stands where, how long it is, how pure the core is."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TOP = {
    "README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml",
    "server", "pwa", "tests", "fixtures", "deploy", ".ci", ".gitignore",
}  # fmt: skip
SAYS_NOTHING = {"util", "utils", "helper", "helpers", "common", "misc", "manager", "base"}
CODE = {".py", ".ts", ".tsx", ".css", ".sh"}
LONGEST = 400


def tracked() -> list[Path]:
    """Every file that git tracks or would track, so that the test works before a commit too."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT, capture_output=True, text=True, check=True,
    )  # fmt: skip
    return [Path(line) for line in listed.stdout.splitlines() if (ROOT / line).is_file()]


def code_files() -> list[Path]:
    return [
        p
        for p in tracked()
        if p.suffix in CODE and "generated" not in p.parts and "migrations" not in p.parts
    ]


def test_top_level_holds_the_agreed_names_only() -> None:
    assert {path.parts[0] for path in tracked()} <= TOP


def test_no_file_is_too_long_to_read_in_one_sitting() -> None:
    long = {
        str(p): n for p in code_files() if (n := len((ROOT / p).read_text("utf-8").splitlines())) > LONGEST
    }
    assert long == {}


def test_no_room_has_a_name_that_says_nothing() -> None:
    assert [str(p) for p in code_files() if SAYS_NOTHING & {part.split(".")[0] for part in p.parts}] == []


# What would make the core impure without an import that import-linter could see.
IMPURE = re.compile(
    r"datetime\.now\(|\btime\.time\(|\bopen\(|\.read_text\(|\.write_text\(|\bos\.environ|date\.today\("
)


def test_the_core_reads_no_clock_no_file_and_no_environment() -> None:
    core = [p for p in code_files() if p.parts[:3] == ("server", "underboard", "core") and p.suffix == ".py"]
    assert len(core) > 10
    assert [str(p) for p in core if IMPURE.search((ROOT / p).read_text("utf-8"))] == []


def test_only_the_configuration_reads_the_environment() -> None:
    reads = re.compile(r"os\.environ|os\.getenv")
    package = [p for p in code_files() if p.parts[:2] == ("server", "underboard") and p.suffix == ".py"]
    assert [str(p) for p in package if reads.search((ROOT / p).read_text("utf-8"))] == [
        "server/underboard/config.py"
    ]


# What a package's own sponsor page may be; any other host in a pinned file would say where it came from.
SPONSORS = {"github.com", "opencollective.com", "tidelift.com"}


@pytest.mark.parametrize(
    "name", ["pwa/package-lock.json", "pwa/.npmrc", "deploy/constraints.txt", "pyproject.toml"]
)
def test_pinned_versions_name_no_registry(name: str) -> None:
    text = (ROOT / name).read_text("utf-8")
    assert set(re.findall(r"://([^/\"\s]+)", text)) <= SPONSORS
    assert re.findall(r"^(?:-i|--[a-z-]*index[a-z-]*|registry *=)", text, re.MULTILINE) == []


def test_every_dependency_is_used_and_justified() -> None:
    """Each run-time dependency is imported somewhere and has its line in DEVELOPERS.md."""
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    names = [re.split(r"[\[><=]", line)[0] for line in project["dependencies"]]
    justified = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    assert [name for name in names if f"`{name}`" not in justified] == []
    imported_as = {
        "flask-smorest": "flask_smorest",
        "flask-sqlalchemy": "flask_sqlalchemy",
        "pillow": "PIL",
        "psycopg": "postgresql",
        "tzdata": "zoneinfo",
    }
    source = "\n".join(
        (ROOT / p).read_text("utf-8") for p in code_files() if p.parts[:2] == ("server", "underboard")
    )
    assert [name for name in names if imported_as.get(name, name) not in source] == []
