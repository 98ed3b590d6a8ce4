"""Follow a how-to page word by word: `python -m deploy.docs.follow PAGE...` (default: all three).

A copy of the repository is made; each block with a file's name is written there (a whole file, or lines to add and
take away), each block of commands is run. The first that fails ends it. The house's tests use `steps` and `changed`
as well.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

ROOT: Final = Path(__file__).parents[2]
PAGES: Final = Path(__file__).with_name("pages")
HOW_TO: Final = ("add-a-formula", "add-a-record-type", "add-a-warning")
BLOCK: Final = re.compile(r'^```(\w+)(?: title="([^"]+)")?\n(.*?)^```$', re.M | re.S)
COPIED: Final = (
    "server",
    "tests",
    "fixtures",
    "deploy",
    "pyproject.toml",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
)


@dataclass(frozen=True)
class Step:
    """One block: a file to write, lines to change in one, or commands to run."""

    kind: str
    path: str
    text: str


def steps(page: str) -> Iterator[Step]:
    """The blocks of a page that are to be followed; one without a file and not of commands only shows something."""
    for kind, path, text in BLOCK.findall((PAGES / f"{page}.md").read_text(encoding="utf-8")):
        if path or kind == "sh":
            yield Step(kind, path, text)


def changed(step: Step, before: str | None) -> str:
    """What the file holds after the step.

    Raises
    ------
    ValueError
        A file to be made is there already, or the lines that a change is hung on are not there exactly once.
    """
    if step.kind != "diff":
        if before is not None:
            raise ValueError(f"{step.path} is there already")
        return step.text
    lines = step.text.splitlines(keepends=True)
    old = "".join(line[1:] for line in lines if line[0] in " -")
    new = "".join(line[1:] for line in lines if line[0] in " +")
    if before is None or before.count(old) != 1:
        raise ValueError(f"{step.path} holds these lines {(before or '').count(old)} times, not once:\n{old}")
    return before.replace(old, new)


def apply(step: Step, root: Path) -> None:
    """Write a step into the repository at `root`."""
    path = root / step.path
    text = changed(step, path.read_text(encoding="utf-8") if path.is_file() else None)
    path.write_text(text, encoding="utf-8")


def follow(page: str) -> None:
    """Do all a page says in a copy, and run what it says."""
    with TemporaryDirectory() as folder:
        root = Path(folder)
        for name in COPIED:
            source = ROOT / name
            if source.is_dir():
                skip = shutil.ignore_patterns("__pycache__", "client", "help")
                shutil.copytree(source, root / name, ignore=skip)
            else:
                shutil.copy(source, root / name)
        shutil.copytree(ROOT / "pwa", root / "pwa", ignore=shutil.ignore_patterns("node_modules"))
        (root / "pwa" / "node_modules").symlink_to(ROOT / "pwa" / "node_modules")
        path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
        # the copy's package, not the one that is installed
        surroundings = {
            **os.environ,
            "PATH": path,
            "PYTHONPATH": str(root / "server"),
            "UNDERBOARD_DATA": folder,
        }
        for step in steps(page):
            if step.kind != "sh":
                print(f"{page}: {step.path}")
                apply(step, root)
                continue
            for command in step.text.strip().splitlines():
                print(f"{page}: {command}", flush=True)
                subprocess.run(command, shell=True, cwd=root, env=surroundings, check=True)


if __name__ == "__main__":
    for name in sys.argv[1:] or HOW_TO:
        follow(name)
