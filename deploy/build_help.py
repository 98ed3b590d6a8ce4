"""Build the help into the package: `python -m deploy.build_help`, or `python deploy/build_help.py`.

Strict: a link that leads nowhere, a page that stands in no menu, a heading that is not there end the build.
Needs what `[build-system]` in pyproject.toml names; skipped when nothing it is made from has changed.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from pathlib import Path
from typing import Final

ROOT: Final = Path(__file__).resolve().parents[1]
SITE: Final = Path("server/underboard/web/help")
SOURCES: Final = (
    "deploy/docs", "deploy/build_help.py", "deploy/certificates.md", "deploy/security.md", "deploy/constraints.txt",
    "DEVELOPERS.md", "deploy/many_plots/README.md", "pwa/public/icon.svg", "server/underboard/core/agronomy/docs",
    "server/underboard/core/agronomy/HONESTY.md", "server/underboard/core/warnings/REPLAY.md",
)  # fmt: skip


def made_from(root: Path) -> str:
    """A number that changes with every file the help is made from."""
    total = hashlib.sha256()
    for name in SOURCES:
        path = root / name
        files = sorted(path.rglob("*")) if path.is_dir() else [path]
        for file in files:
            if file.is_file() and file.suffix != ".pyc":
                total.update(str(file.relative_to(root)).encode() + b"\0" + file.read_bytes() + b"\0")
    return total.hexdigest()


def build_help(root: Path = ROOT) -> bool:
    """Build it unless it is fresh; whether something was done."""
    site = root / SITE
    stamp = site / ".built-from"
    wanted = made_from(root)
    if stamp.is_file() and stamp.read_text(encoding="utf-8") == wanted:
        return False
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--clean"]
    command += ["-f", str(root / "deploy" / "docs" / "mkdocs.yml"), "-d", str(site)]
    # The theme's own news are not for whoever builds. Not "--quiet": that would keep warnings from being strict.
    env = {**os.environ, "NO_MKDOCS_2_WARNING": "1"}
    done = subprocess.run(command, capture_output=True, text=True, env=env)
    if done.returncode:
        raise SystemExit(f"{done.stdout}{done.stderr}The help could not be built.")
    stamp.write_text(wanted, encoding="utf-8")
    return True


if __name__ == "__main__":
    build_help()
