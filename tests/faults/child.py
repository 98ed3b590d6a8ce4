"""The phones of a history: the client's own code, bundled once for Node, talking to a `House` by pipe."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.faults.house import House

HERE = Path(__file__).parent
PWA = HERE.parents[1] / "pwa"


@dataclass(frozen=True)
class Verdict:
    """What the oracle found in one history: nothing, when all is well."""

    seed: int
    findings: list[dict[str, str]]
    ms: float
    story: list[str]
    """What was asked and answered, if something was found."""


def bundle(folder: Path, name: str = "main") -> Path:
    """Build `main` (random histories) or `hands` (told stories) and the client's code into one file for plain Node."""
    done = subprocess.run(
        ["node", str(HERE / "histories" / "bundle.mjs"), str(folder), name],
        cwd=PWA,
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )
    if done.returncode:
        raise RuntimeError(f"The histories could not be bundled.\n{done.stdout}{done.stderr}")
    return folder / f"{name}.mjs"


def histories(
    house: House, script: Path, seeds: range, bug: str = "none", server: str = "pipe"
) -> Iterator[Verdict]:
    """Run one history a seed against `house`, each on a plot of its own.

    Parameters
    ----------
    server
        Address of the real server that works on the house's database; `pipe`: call the house's own app.
    """
    command = ["node", str(script), str(seeds.start), str(seeds.stop), str(seeds.step), bug, server]
    child = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    assert child.stdin is not None and child.stdout is not None
    try:
        for line in child.stdout:
            said: dict[str, Any] = json.loads(line)
            if "done" in said:
                yield Verdict(said["done"], said["findings"], said["ms"], said["story"])
                continue
            child.stdin.write(json.dumps(house.answer(said)).encode() + b"\n")
            child.stdin.flush()
        if child.wait(timeout=120):
            raise RuntimeError(f"The phones' process ended with {child.returncode}.")
    finally:
        child.kill()
        child.wait(timeout=120)
        child.stdin.close()
        child.stdout.close()
