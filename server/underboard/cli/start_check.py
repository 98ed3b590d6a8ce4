"""Before a server starts: is the database whole? If not, what to do, and nothing is touched."""

from __future__ import annotations

from typing import TYPE_CHECKING

from underboard.config import SettingsError

if TYPE_CHECKING:
    from underboard.config import Settings

LOOK_S = 0.7
"""How long a start may look. Ten years of a plot (120,000 records, 120 MB) take 0.3 s of a server's core; where it
takes longer, the trees of all tables and indexes have been looked through by then, and rows not compared yet."""
LONG_LOOK_S = 3600.0
"""When a running server has met damage: all of it is looked through."""


def check_database(settings: Settings) -> None:
    """Refuse to start on a damaged database file.

    Raises
    ------
    SettingsError
    """
    from underboard.core.errors import StoreDamaged
    from underboard.store.troubles import damage_noted, forget_damage
    from underboard.store.wholeness import check_whole

    if settings.sqlite_file is not None:
        # A damage that was met while the server ran must not be missed for want of time.
        seconds = LONG_LOOK_S if damage_noted(settings.damage_note) else LOOK_S
        try:
            check_whole(settings.sqlite_file, settings.high_water, seconds)
        except StoreDamaged as fault:
            raise SettingsError(f"{fault} {_offer(settings)}") from fault
    forget_damage(settings.damage_note)


def _offer(settings: Settings) -> str:
    from underboard.store.backup.making import backups_in

    there = backups_in(settings.backups) if settings.backups is not None and settings.backups.is_dir() else {}
    newest = there[max(there)] if there else "FILE"
    return (
        f"Put a backup back: underboard restore --data {settings.data} {newest}. The damaged file is kept aside then."
        + ("" if there else " Without a backup, ask on a copy: sqlite3 underboard.sqlite3 .recover")
    )
