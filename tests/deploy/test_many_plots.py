"""The ready-made set-ups for many plots name commands that there are, and one process for the scheduled work."""

from __future__ import annotations

import re
import shlex
import subprocess
import sysconfig
import tomllib
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
import yaml

from underboard.cli import _parser
from underboard.config import Settings

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


def test_the_container_file_has_no_fault_that_a_linter_knows() -> None:
    """hadolint: each instruction by the builder's own rules, shell lines by ShellCheck."""
    linter = Path(sysconfig.get_path("scripts")) / "hadolint"
    done = subprocess.run([linter, FOLDER / "Dockerfile"], capture_output=True, text=True, timeout=240)
    assert (done.returncode, done.stdout) == (0, ""), done.stdout


def test_the_compose_file_holds_together() -> None:
    """By the Compose Specification (compose-spec.io): what a service names is there, and nothing it does not know."""
    said: dict[str, Any] = yaml.safe_load((FOLDER / "compose.yaml").read_text("utf-8"))
    assert set(said) == {"services", "volumes"}
    services = said["services"]
    built = {one["image"] for one in services.values() if "build" in one}
    for name, one in services.items():
        assert set(one) <= {
            "build", "command", "depends_on", "environment", "healthcheck", "image", "ports", "restart", "volumes",
        }, name  # fmt: skip
        assert "build" in one or one["image"] in built or ":" in one["image"], (
            f"{name}: an image without a version"
        )
        for other, how in one.get("depends_on", {}).items():
            assert how != {"condition": "service_healthy"} or "healthcheck" in services[other]
        for volume in one.get("volumes", []):
            assert volume.partition(":")[0] in said["volumes"]
        for port in one.get("ports", []):
            assert port.startswith("127.0.0.1:"), f"{name} would be open to everybody: the proxy is in front"
    assert (
        FOLDER / services["server"]["build"]["context"] / services["server"]["build"]["dockerfile"]
    ).is_file()


def test_every_setting_that_is_named_is_one() -> None:
    known = {f"UNDERBOARD_{field.name.upper()}" for field in fields(Settings)} | {"UNDERBOARD_DB_PASSWORD"}
    for file in FOLDER.iterdir():
        if file.is_file():
            named = set(re.findall(r"UNDERBOARD_[A-Z_]+[A-Z]", file.read_text("utf-8")))
            assert named <= known, (file.name, named - known)
    shown = "\n".join(re.findall(r"```toml\n(.*?)```", (FOLDER / "README.md").read_text("utf-8"), re.DOTALL))
    assert set(tomllib.loads(shown)) <= {field.name for field in fields(Settings)}
