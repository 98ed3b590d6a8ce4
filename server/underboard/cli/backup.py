"""`underboard backup`: one checked file that holds everything, made beside a running server."""

from __future__ import annotations

import argparse
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from underboard.cli.opening import add_command, answer, settings_of, used
from underboard.cli.passphrases import kept_key, key_for
from underboard.config import SettingsError
from underboard.core.errors import BackupFailed
from underboard.data_folder import server_id

if TYPE_CHECKING:
    from collections.abc import Callable

    from underboard.config import Settings
    from underboard.store.backup.making import Made


def add(commands: Any) -> None:
    doc = "Write everything into one file and check it; the server may run."
    parser = add_command(commands, "backup", doc, run)
    parser.add_argument("target", nargs="?", metavar="FILE|FOLDER", help="default: the setting backup_folder")
    parser.add_argument("--rotate", action="store_true", help="take away what is too old in FOLDER")
    parser.add_argument("--encrypt", action="store_true", help="ask for a passphrase")
    parser.add_argument(
        "--passphrase-file", type=Path, metavar="FILE", help="encrypt with the passphrase in FILE"
    )
    parser.add_argument("--plain", action="store_true", help="do not encrypt, whatever keys/ says")


def run(asked: argparse.Namespace) -> int:
    from underboard.store.backup.making import make_backup, rotate

    settings = settings_of(asked)
    if not settings.data.is_dir():
        raise SettingsError(f"There is no data folder {settings.data} to back up: name it with --data.")
    target = _target(settings, asked.target)
    with used(settings):
        server_id(settings)
        key = key_for(settings, file=asked.passphrase_file, ask=asked.encrypt, plain=asked.plain)
        made = make_backup(settings, target, datetime.now(UTC), key=key)
        folder = target if target.is_dir() else None
        rotates = folder is not None and (asked.rotate or folder == settings.backups)
        gone = rotate(settings, folder) if folder is not None and rotates else []
    return answer(
        asked, {**facts_of(made), "removed": [str(path) for path in gone]}, words_of(made, len(gone))
    )


def _target(settings: Settings, wanted: str | None) -> Path:
    if wanted is None:
        return own_folder(settings)
    target = Path(wanted).expanduser().absolute()
    return _there(target) if wanted.endswith(("/", os.sep)) else target


def own_folder(settings: Settings) -> Path:
    """Return the folder of daily backups. One in the data folder is made; another may be a disk that is unplugged."""
    folder = settings.backups
    if folder is None:
        raise SettingsError(
            "Say where to: underboard backup FILE, best on another disk, or set backup_folder in settings.toml."
        )
    if folder.is_relative_to(settings.data):
        folder.mkdir(parents=True, exist_ok=True)
    return _there(folder)


def _there(folder: Path) -> Path:
    if not folder.is_dir():
        raise BackupFailed(f"There is no folder {folder}: make it, or plug in the disk it is on.")
    return folder


def daily_backup(settings: Settings) -> Callable[[datetime], object]:
    """Return what makes the daily backup and takes away what is too old."""
    import structlog

    from underboard.store.backup.making import make_backup, rotate

    def make(now: datetime) -> None:
        folder = own_folder(settings)
        made = make_backup(settings, folder, now, key=kept_key(settings))
        gone = rotate(settings, folder)
        said = facts_of(made)
        structlog.get_logger("underboard").info("backup made", **said, removed=len(gone))

    return make


def facts_of(made: Made) -> dict[str, Any]:
    manifest = made.contents.manifest
    return {
        "file": str(made.file),
        "bytes": made.bytes,
        "made_at": manifest.made_at.isoformat(),
        "plots": {plot: counts.get("living records", 0) for plot, counts in manifest.plots.items()},
        "records": manifest.records,
        "photos": manifest.photos,
        "photos_missing": list(manifest.photos_missing),
        "photos_damaged": list(made.contents.photos_damaged),
        "encrypted": made.sealed,
    }


def words_of(made: Made, gone: int) -> str:
    manifest = made.contents.manifest
    lines = [
        f"Backed up into {made.file} ({made.bytes / 1e6:.1f} MB): {many(manifest.records, 'record')} of"
        f" {many(len(manifest.plots), 'plot')}, {many(manifest.photos, 'photo')}. Read back and found whole."
    ]
    bad = len(manifest.photos_missing) + len(made.contents.photos_damaged)
    if bad:
        lines.append(f"{many(bad, 'photo')} on the server's disk are missing or damaged: look at that disk.")
    if gone:
        lines.append(f"{many(gone, 'older backup')} taken away; see backup_daily in the settings.")
    if made.sealed:
        lines.append(
            "It is encrypted: without the passphrase nobody can open it, you neither. Keep it elsewhere."
        )
    else:
        lines.append("It is not encrypted, and holds no keys: keep it where others cannot read it.")
    return "\n".join(lines)


def many(count: int, what: str) -> str:
    return f"{count:,} {what}{'' if count == 1 else 's'}"
