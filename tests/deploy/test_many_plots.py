"""The ready-made set-ups for many plots name commands that there are, and one process for the scheduled work."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from underboard.cli import _parser

FOLDER = Path(__file__).parents[2] / "deploy" / "many_plots"


def commands() -> dict[str, list[str]]:
    """Words after `underboard`, by where they stand."""
    found = {}
    for unit in FOLDER.glob("*.service"):
        (line,) = re.findall(r"^ExecStart=\S+/underboard (.*)$", unit.read_text("utf-8"), re.MULTILINE)
        found[unit.name] = shlex.split(line)
    lines = re.findall(r"^    command: \[(.*)\]$", (FOLDER / "compose.yaml").read_text("utf-8"), re.MULTILINE)
    found |= {f"compose {n}": [word.strip(' "') for word in line.split(",")] for n, line in enumerate(lines)}
    return found


@pytest.mark.parametrize("where", sorted(commands()))
def test_its_command_is_understood(where: str) -> None:
    asked = _parser().parse_args(commands()[where])
    assert where.startswith("compose") or asked.run.__module__ in (
        "underboard.cli.serve",
        "underboard.cli.work",
    )


@pytest.mark.parametrize("kind", ["compose", "underboard"])
def test_phones_are_answered_without_jobs_and_one_process_has_them(kind: str) -> None:
    lines = [words for where, words in commands().items() if where.startswith(kind)]
    assert sorted(words[0] for words in lines) == ["serve", "work"]
    (serve,) = (words for words in lines if words[0] == "serve")
    assert "--no-jobs" in serve and "--workers" in serve
