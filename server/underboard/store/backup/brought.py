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

    A folder's own settings stay: they say which database this is. In a folder without any, the backup's are taken,
    but not the database they name, unless it is the one that was restored into.
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
    named = re.compile(r"\s*database_url\s*=")
    kept = [
        f"# left out when the backup was put back: {line}" if named.match(line) else line for line in lines
    ]
    if "database_url" in _read_toml("\n".join(lines)) and not settings.database_url:
        if "database_url" in _read_toml("\n".join(kept)):
            os.replace(brought, work / OTHER_SETTINGS)
            return True
        brought.write_text("\n".join(kept) + "\n", encoding="utf-8")
    return False


def _read_toml(content: str) -> dict[str, object]:
    try:
        return tomllib.loads(content)
    except tomllib.TOMLDecodeError:
        return {}
