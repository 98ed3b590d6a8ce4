"""What pip-audit and npm audit answered, in a line each; and whether they were answered at all.

pip-audit ends well and says "skipped" of every package when it cannot reach the advisory service. Not having asked is
not the same as having found nothing, so the answers are counted here.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

NONE_KNOWN, SOME_KNOWN, NOT_ASKED = 0, 1, 3
Verdict = tuple[int, list[str]]


def of_pip(told: Any) -> Verdict:
    """Judge the JSON of pip-audit: `{"dependencies": [{"name", "version", "vulns"} or {"name", "skip_reason"}]}`."""
    packages = told.get("dependencies", []) if isinstance(told, dict) else []
    asked = [one for one in packages if "skip_reason" not in one]
    holes = [
        f"{one['name']} {one['version']}: {hole['id']}, mended in {', '.join(hole['fix_versions']) or 'no version yet'}"
        for one in asked
        for hole in one.get("vulns", [])
    ]
    skipped = sorted(one["name"] for one in packages if "skip_reason" in one)
    if holes:
        return SOME_KNOWN, holes
    if not asked:
        return NOT_ASKED, ["NOT ASKED: the advisory service of Python packages did not answer."]
    if skipped:
        return NOT_ASKED, [f"NOT ASKED about {len(skipped)} of {len(packages)}: {', '.join(skipped)}."]
    return NONE_KNOWN, [f"No known hole in {len(asked)} packages."]


def of_npm(told: Any) -> Verdict:
    """Judge the JSON of npm audit (report version 2)."""
    if not isinstance(told, dict) or "metadata" not in told:
        reason = (told or {}).get("message") if isinstance(told, dict) else None
        return NOT_ASKED, [
            f"NOT ASKED: the advisory service of npm did not answer ({reason or 'nothing came'})."
        ]
    holes = [
        f"{name} {hole['range']}: {hole['severity']}"
        for name, hole in sorted(told.get("vulnerabilities", {}).items())
    ]
    if holes:
        return SOME_KNOWN, holes
    return NONE_KNOWN, [f"No known hole in {told['metadata']['dependencies']['total']} packages."]


JUDGES: dict[str, Callable[[Any], Verdict]] = {"pip": of_pip, "npm": of_npm}


def judge(which: str, file: Path) -> Verdict:
    """Judge what stands in a file; one that holds no JSON is no answer."""
    try:
        told = json.loads(file.read_text("utf-8"))
    except (OSError, ValueError):
        told = None
    return JUDGES[which](told)


if __name__ == "__main__":
    code, lines = judge(sys.argv[1], Path(sys.argv[2]))
    print("\n".join(lines))
    sys.exit(code)
