"""`underboard drill`: is a backup good for anything? Put one back elsewhere, start a server on it, and count.

The real data folder is only read. The server of the drill listens on this machine alone, warns nobody, and is gone
afterwards with its folder.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from underboard.cli.backup import many
from underboard.cli.opening import add_command, answer, opened, settings_of, used
from underboard.cli.passphrases import opener
from underboard.config import Settings, SettingsError, without_own_variables
from underboard.data_folder import server_id

if TYPE_CHECKING:
    from underboard.store.backup.archive import Manifest

UP_WITHIN_S = 60
PHOTOS_ASKED = 20
"""How many photos of each plot are fetched through the server; all of them were checked when the backup was read."""
NAMED = 3
"""How many photos that are not there are named in words; the rest is counted, and JSON names all."""


def add(commands: Any) -> None:
    doc = "Try a backup out: put it back elsewhere, start a server on it, count and compare."
    parser = add_command(commands, "drill", doc, run)
    parser.add_argument(
        "file", nargs="?", type=Path, metavar="FILE", help="a backup (default: one made for the drill)"
    )
    parser.add_argument("--passphrase-file", type=Path, metavar="FILE", help="holds the backup's passphrase")


def run(asked: argparse.Namespace) -> int:
    settings = settings_of(asked)
    began = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="underboard-drill-") as name:
        folder = Path(name)
        file = asked.file.expanduser().absolute() if asked.file else _fresh(settings, folder)
        there = Settings(data=folder / "data", port=_free_port(), jobs=False)
        manifest = _put_back(settings, there, file, asked.passphrase_file)
        with _serving(there):
            found = {plot: _look(there, plot, _whole_photos(manifest, plot)) for plot in manifest.plots}
    differing, lacking = list(_differences(manifest, found)), _lacking(manifest)
    seconds = time.monotonic() - began
    good = not differing and not lacking
    facts = {
        "made_at": manifest.made_at.isoformat(),
        "plots": found,
        "differences": differing,
        "photos_missing_before": lacking,
        "seconds": seconds,
        "good": good,
    }
    answer(asked, facts, _words(manifest, found, differing, lacking, seconds))
    return 0 if good else 1


def _fresh(settings: Settings, folder: Path) -> Path:
    from underboard.cli.passphrases import kept_key
    from underboard.store.backup.making import make_backup

    if not settings.data.is_dir():
        raise SettingsError(f"There is no data folder {settings.data} to back up: name it with --data.")
    with used(settings):
        server_id(settings)
        key = kept_key(settings)
        return make_backup(settings, folder / "drill.tar", datetime.now(UTC), key=key, note=False).file


def _put_back(settings: Settings, there: Settings, file: Path, passphrase: Path | None) -> Manifest:
    from underboard.store.backup.restoring import restore

    manifest = restore(there, file, opener(settings, passphrase), datetime.now(UTC)).manifest
    # Its settings may name another machine's ports, certificates and mail server; the drill needs none of them.
    there.settings_file.unlink(missing_ok=True)
    return manifest


@contextmanager
def _serving(there: Settings) -> Iterator[None]:
    """Run a real server on the folder, with none of the settings that this one has from its environment."""
    words = ["serve", "--data", str(there.data), "--port", str(there.port), "--no-jobs"]
    with (there.data.parent / "serve.log").open("wb") as log:
        server = subprocess.Popen(
            [sys.executable, "-m", "underboard", *words],
            stdout=log,
            stderr=log,
            env=without_own_variables(),
        )
    try:
        _wait(there, server)
        yield
    finally:
        server.terminate()
        try:
            server.wait(timeout=20)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()


def _wait(there: Settings, server: subprocess.Popen[bytes]) -> None:
    until = time.monotonic() + UP_WITHIN_S
    while time.monotonic() < until and server.poll() is None:
        try:
            with urllib.request.urlopen(f"{there.address()}/healthz", timeout=5):
                return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.1)
    said = (there.data.parent / "serve.log").read_text("utf-8", "replace").strip().splitlines()
    raise SettingsError(
        f"The server did not start on what was put back: {said[-1] if said else 'no word of it'}"
    )


def _look(there: Settings, plot_id: str, kept: set[str]) -> dict[str, int]:
    """Pull a whole plot as a phone does, fetch some of its photos that the backup has (`kept`), and count."""
    token = _pair(there, plot_id)
    records = 0
    cursor = ""
    named: set[str] = set()
    while True:
        page = json.loads(_get(there, token, f"sync/pull?plot={plot_id}&limit=1000{cursor}"))
        records += sum(not one["deleted"] for one in page["records"])
        named |= {p["sha256"] for one in page["records"] for p in (one.get("body") or {}).get("photos") or ()}
        cursor = f"&cursor={page['cursor']}"
        if not page["more"]:
            break
    asked = sorted(named & kept)[:PHOTOS_ASKED]
    whole = sum(_is_whole(there, token, plot_id, sha256) for sha256 in asked)
    counts = {"photos named": len(named), "photos asked": len(asked), "photos fetched": whole}
    return {"records": records, **counts}


def _is_whole(there: Settings, token: str, plot_id: str, sha256: str) -> bool:
    try:
        return hashlib.sha256(_get(there, token, f"plots/{plot_id}/blobs/{sha256}")).hexdigest() == sha256
    except urllib.error.HTTPError:
        return False


def _pair(there: Settings, plot_id: str) -> str:
    from underboard.store import people

    with opened(there):
        return people.add_device(plot_id, "drill", "reader", datetime.now(UTC), "token").token


def _get(there: Settings, token: str, path: str) -> bytes:
    request = urllib.request.Request(f"{there.address()}/api/v1/{path}")
    request.add_header("Authorization", f"Bearer {token}")
    with urllib.request.urlopen(request, timeout=60) as said:
        return bytes(said.read())


def _whole_photos(manifest: Manifest, plot: str) -> set[str]:
    """Return the photos of a plot that came into the backup as they should be."""
    return {name for name, sha256 in _photos_of(manifest, plot) if name == sha256}


def _photos_of(manifest: Manifest, plot: str) -> Iterator[tuple[str, str]]:
    """Give the photos of a plot in the backup: the hash each is named by, and the one of its bytes."""
    from underboard.store.backup.archive import PHOTOS

    for name, facts in manifest.members.items():
        if name.startswith(f"{PHOTOS}{plot}/"):
            yield name.rpartition("/")[2], facts["sha256"]


def _lacking(manifest: Manifest) -> dict[str, list[str]]:
    """Return, by plot, the photos that were missing or damaged on the server's disk when the backup was made."""
    found: dict[str, list[str]] = {}
    for name in manifest.photos_missing:
        plot, _, sha256 = name.partition("/")
        found.setdefault(plot, []).append(sha256)
    for plot in manifest.plots:
        damaged = [name for name, sha256 in _photos_of(manifest, plot) if name != sha256]
        if damaged:
            found.setdefault(plot, []).extend(damaged)
    return found


def _differences(manifest: Manifest, found: dict[str, dict[str, int]]) -> Iterator[str]:
    lacking = _lacking(manifest)
    for plot, counts in manifest.plots.items():
        expected = counts.get("living records", 0)
        if found[plot]["records"] != expected:
            yield f"plot {plot}: {found[plot]['records']:,} records instead of {expected:,}"
        asked, fetched = found[plot]["photos asked"], found[plot]["photos fetched"]
        if fetched < asked:
            yield f"plot {plot}: {fetched} of {asked} photos could be fetched"
        # What was lost before is no difference, but only what is named as lost.
        here, known = len(_whole_photos(manifest, plot)), counts.get("blob", 0)
        if here + len(lacking.get(plot, ())) != known:
            yield f"plot {plot}: {here:,} photos in the backup, and its database knows of {known:,}"


def _words(
    manifest: Manifest,
    found: dict[str, dict[str, int]],
    differing: list[str],
    lacking: dict[str, list[str]],
    seconds: float,
) -> str:
    lines = [
        f"Plot {plot}: {counts['records']:,} records came back through a server,"
        f" {len(_whole_photos(manifest, plot)):,} photos in the backup."
        for plot, counts in found.items()
    ]
    for plot, gone in lacking.items():
        names = ", ".join(gone[:NAMED]) + (f" and {len(gone) - NAMED:,} more" if len(gone) > NAMED else "")
        lines.append(
            f"MISSING BEFORE: plot {plot}: {many(len(gone), 'photo')} on the server's disk missing or damaged already"
            f" when the backup was made: {names}"
        )
    made = f"{manifest.made_at:%Y-%m-%d %H:%M} UTC"
    if differing:
        lines += [f"NOT THE SAME: {one}" for one in differing]
        lines.append(f"The backup of {made} is not good: look at the disk and make another.")
    elif lacking:
        lines.append(
            f"The backup of {made} brings back what the server had then, but those photos it did not have: look at"
            " its disk, and into older backups."
        )
    else:
        lines.append(
            f"The backup of {made} is good: put back, started, counted, all there, in {seconds:.0f} s. Your own"
            " data folder was not touched."
        )
    return "\n".join(lines)


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
