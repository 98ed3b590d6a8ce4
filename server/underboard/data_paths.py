"""Where things lie in a data folder: names only, nothing here looks at the disk."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

SETTINGS_FILE: Final = "settings.toml"


@dataclass(frozen=True)
class DataPaths:
    """The files and folders of one data folder.

    Attributes
    ----------
    data : folder that holds the database, photos, keys and `settings.toml`.
    """

    data: Path

    @property
    def blobs(self) -> Path:
        """Folder of photos."""
        return self.data / "blobs"

    @property
    def keys(self) -> Path:
        """Folder of secrets; nobody but the owner may read it."""
        return self.data / "keys"

    @property
    def push_key_file(self) -> Path:
        """Private key by which push services know this server (RFC 8292)."""
        return self.keys / "push_key.pem"

    @property
    def stop_key_file(self) -> Path:
        """Key that proves the stop links of mails."""
        return self.keys / "stop_key"

    @property
    def settings_file(self) -> Path:
        """The settings of this folder; there may be none."""
        return self.data / SETTINGS_FILE

    @property
    def server_id_file(self) -> Path:
        """This server's own id, by which phones know it."""
        return self.data / "server_id"

    @property
    def backup_passphrase_file(self) -> Path:
        """With this file, backups are encrypted."""
        return self.keys / "backup_passphrase"

    @property
    def use_lock(self) -> Path:
        """File that everybody who uses the data folder holds locked with others, and a restore alone."""
        return self.data / "in_use.lock"

    @property
    def backup_note(self) -> Path:
        """Where a finished backup writes its moment (RFC 3339), for `doctor` and warnings."""
        return self.data / "last_backup"

    @property
    def jobs_lock(self) -> Path:
        """File that the server which does the scheduled work holds locked; it saves work, no more."""
        return self.data / "jobs.lock"

    @property
    def high_water(self) -> Path:
        """File that says how far each plot has come, so that an older database put back is noticed."""
        return self.data / "high_water.json"

    @property
    def damage_note(self) -> Path:
        """File that is there once a running server has found its database damaged."""
        return self.data / "damage_found"

    @property
    def claim_file(self) -> Path:
        """Where the first-run code is kept for the person at this machine."""
        return self.keys / "claim_code"
