"""The settings that a backup brings along: which of them may take effect where it is put back."""

from __future__ import annotations

import os
import re
import tomllib
from pathlib import Path

from underboard.config import Settings
from underboard.store.backup.archive import SETTINGS

OTHER_SETTINGS = "settings.from-backup.toml"


def settle_settings(settings: Settings, work: Path) -> bool:
    """Decide about the backup's settings; return whether they lie beside this folder's own.

    A folder's own settings stay: they say which database and photo store this is. In a folder without any, the
    backup's are taken, but not the database and photo store they name, unless it is those that were restored into.
    """
    brought = work / SETTINGS
    if not brought.is_file():
        return False
    if settings.settings_file.is_file():
        if settings.settings_file.read_bytes() == brought.read_bytes():
            brought.unlink()
            return False
        os.replace(brought, work / OTHER_SETTINGS)
        return True
    lines = brought.read_text("utf-8").splitlines()
    strange = [name for name in ("database_url", "photo_store") if not getattr(settings, name)]
    strange = [name for name in strange if name in _read_toml("\n".join(lines))]
    if strange:
        named = re.compile(rf"\s*({'|'.join(strange)})\s*=")
        kept = [
            f"# left out when the backup was put back: {line}" if named.match(line) else line
            for line in lines
        ]
        if set(strange) & set(_read_toml("\n".join(kept))):
            os.replace(brought, work / OTHER_SETTINGS)
            return True
        brought.write_text("\n".join(kept) + "\n", encoding="utf-8")
    return False


def _read_toml(content: str) -> dict[str, object]:
    try:
        return tomllib.loads(content)
    except tomllib.TOMLDecodeError:
        return {}
