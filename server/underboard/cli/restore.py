"""`underboard restore`: put a backup back, while the server is stopped."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from underboard.cli.backup import many
from underboard.cli.opening import add_command, answer, settings_of
from underboard.cli.passphrases import opener

if TYPE_CHECKING:
    from underboard.config import Settings
    from underboard.store.backup.restoring import Restored


def add(commands: Any) -> None:
    doc = "Put a backup back; what is there now is kept aside."
    parser = add_command(commands, "restore", doc, run)
    parser.add_argument("file", type=Path, metavar="FILE", help="made by `underboard backup`")
    parser.add_argument("--passphrase-file", type=Path, metavar="FILE", help="holds the backup's passphrase")


def run(asked: argparse.Namespace) -> int:
    from underboard.store.backup.restoring import restore

    settings = settings_of(asked)
    file = asked.file.expanduser().absolute()
    restored = restore(settings, file, opener(settings, asked.passphrase_file), datetime.now(UTC))
    manifest = restored.manifest
    facts = {
        "made_at": manifest.made_at.isoformat(),
        "plots": {plot: counts.get("living records", 0) for plot, counts in manifest.plots.items()},
        "photos": manifest.photos,
        "aside": str(restored.aside) if restored.aside else None,
        "devices_carried": restored.carried.devices,
        "devices_put_out": restored.carried.put_out,
        "photos_carried": restored.photos_carried,
        "keys": manifest.has_keys,
    }
    return answer(asked, facts, words_of(restored, settings))


def words_of(restored: Restored, settings: Settings) -> str:
    manifest, carried = restored.manifest, restored.carried
    lines = [
        f"Put back: the backup of {manifest.made_at:%Y-%m-%d %H:%M} UTC, {many(manifest.records, 'record')}"
        f" of {many(len(manifest.plots), 'plot')}, {many(manifest.photos, 'photo')}."
    ]
    if restored.aside:
        lines.append(f"What was there before lies in {restored.aside}; remove it when all is well.")
    if carried.devices or carried.put_out:
        lines.append(
            f"Phones let in since then stay in ({carried.devices}), phones put out since then stay out"
            f" ({carried.put_out})."
        )
    elif not restored.aside:
        lines.append("Phones that were put out after the backup may come in again: see `underboard devices`.")
    if restored.photos_carried:
        lines.append(f"{restored.photos_carried:,} newer photos that lay on this disk were taken over.")
    if restored.photos_lacking:
        lines.append(f"{restored.photos_lacking:,} photos are missing or damaged in the backup.")
    if restored.settings_beside:
        lines.append("This folder's settings were kept; the backup's lie in settings.from-backup.toml.")
    if not manifest.has_keys and not (settings.keys / "push_key.pem").exists():
        lines.append(
            "The backup holds no keys (only encrypted ones do): allow notices on the phones again, and make a new"
            " certificate if you had one. Stop links in mails sent before no longer work."
        )
    lines.append(
        "Next: start the server, and open the app on every phone at home. Each brings back what it sent in the last"
        " 60 days and this backup lacks; nothing comes twice."
    )
    return "\n".join(lines)
