"""Passphrases of backups: from a file that only you can read, or typed; never on the command line, which others see."""

from __future__ import annotations

import getpass
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from underboard.config import SettingsError
from underboard.core.errors import PassphraseNeeded

if TYPE_CHECKING:
    from underboard.config import Settings
    from underboard.store.backup.sealing import Open, SealingKey

SHORTEST = 8


def read_passphrase(file: Path) -> str:
    """Read a passphrase from the first line of a file."""
    try:
        lines = file.read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as fault:
        raise SettingsError(f"The passphrase can't be read from {file} ({fault}).") from fault
    if not lines or len(lines[0].strip()) < SHORTEST:
        raise SettingsError(
            f"The passphrase in {file} is shorter than {SHORTEST} letters: choose a longer one."
        )
    return lines[0].strip()


def kept_key(settings: Settings) -> SealingKey | None:
    """Return the key for backups if a passphrase lies in the keys folder; without one they are not encrypted."""
    from underboard.store.backup.sealing import kept_sealing_key

    file = settings.backup_passphrase_file
    return kept_sealing_key(settings.keys, read_passphrase(file)) if file.is_file() else None


def key_for(settings: Settings, *, file: Path | None, ask: bool, plain: bool) -> SealingKey | None:
    """Return the key a person wants: from a file, typed twice, the one that is kept, or none."""
    from underboard.store.backup.sealing import new_sealing_key

    if plain:
        return None
    if file is not None:
        return new_sealing_key(read_passphrase(file))
    if not ask:
        return kept_key(settings)
    if not sys.stdin.isatty():
        raise PassphraseNeeded("Nobody is there to type a passphrase: name a file with --passphrase-file.")
    typed = getpass.getpass("Passphrase for this backup: ")
    if len(typed) < SHORTEST:
        raise SettingsError(f"That is shorter than {SHORTEST} letters: choose a longer one.")
    if getpass.getpass("The same once more: ") != typed:
        raise SettingsError("The two are not the same: nothing was backed up.")
    return new_sealing_key(typed)


def opener(settings: Settings, file: Path | None) -> Open:
    """Return what opens an encrypted backup: the key kept here, the passphrase in a file, or the person."""
    from underboard.store.backup.sealing import unlock

    def open_key(locked: bytes, shown: str) -> str:
        kept, secret = settings.keys / "backup_key.age", settings.keys / "backup_key"
        if file is not None:
            return unlock(locked, read_passphrase(file), shown)
        if kept.is_file() and secret.is_file() and kept.read_bytes() == locked:
            return secret.read_text("ascii").strip()
        if settings.backup_passphrase_file.is_file():
            return unlock(locked, read_passphrase(settings.backup_passphrase_file), shown)
        if not sys.stdin.isatty():
            raise PassphraseNeeded(
                f"{shown} is encrypted: name a file that holds its passphrase, --passphrase-file."
            )
        return unlock(locked, getpass.getpass(f"Passphrase of {shown}: "), shown)

    return open_key
