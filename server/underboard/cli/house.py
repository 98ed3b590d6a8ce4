"""What this installation knows of itself, as facts for the rules: phones, backups, the certificate."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from underboard.config import Settings
    from underboard.core.warnings.facts import HouseFacts


SHOWN = "certificate_shown"
"""File in the data folder."""


def house_of(settings: Settings, certificate: Path | None = None) -> Callable[[str], HouseFacts]:
    """Return the function that says these facts for a plot; files are read anew each time it is asked.

    Parameters
    ----------
    certificate
        What `serve` shows to phones; else the one that the settings name, or that a server showed last.
    """
    file = certificate or certificate_file(settings)

    def house(plot_id: str) -> HouseFacts:
        from underboard.core.warnings.facts import DeviceFact, HouseFacts
        from underboard.store import people

        devices = people.devices(plot_id)
        return HouseFacts(
            devices=tuple(DeviceFact(one.id, one.name, one.kind, one.last_seen_at) for one in devices),
            backup_at=last_backup(settings),
            first_record_at=min((one.created_at for one in devices), default=None),
            certificate_ends_at=certificate_end(file),
            # A database elsewhere may be backed up elsewhere, unless we are told to do it.
            keeps_backups=settings.sqlite_file is not None or settings.backups is not None,
        )

    return house


def certificate_file(settings: Settings) -> Path | None:
    """Which certificate phones see: the one that the settings name, that a server showed last, or that is kept here."""
    from underboard.certificates.keeping import Keeper

    if settings.certificate:
        return Path(settings.certificate)
    kept = Keeper(settings.data).server_file
    return _shown(settings) or (kept if settings.https and kept.is_file() else None)


def phone_address(settings: Settings) -> str:
    """Where phones find this server: the address that the settings name, or the certificate's first name."""
    from underboard.certificates.keeping import Keeper

    shown = Keeper(settings.data).shown() if settings.https else None
    if settings.public_url or shown is None or not shown.hosts():
        return settings.address()
    return f"https://{shown.hosts()[0]}:{settings.https_port}"


def note_certificate(settings: Settings, certificate: Path | None) -> None:
    """Write down which certificate `serve` shows, so that other commands judge the same one as the server."""
    note = settings.data / SHOWN
    if certificate is None:
        note.unlink(missing_ok=True)
    else:
        note.write_text(f"{certificate.absolute()}\n", encoding="utf-8")


def _shown(settings: Settings) -> Path | None:
    try:
        return Path((settings.data / SHOWN).read_text("utf-8").strip())
    except OSError:
        return None


def last_backup(settings: Settings) -> datetime | None:
    """Return the moment that the last backup left behind in the data folder; None when there was none."""
    try:
        made_at = datetime.fromisoformat(settings.backup_note.read_text("utf-8").strip())
    except (OSError, ValueError):
        return None
    return made_at if made_at.tzinfo is not None else made_at.astimezone()


def certificate_end(file: Path | None) -> datetime | None:
    """Return when a certificate ends; of a chain the one that ends first. None when there is none to read."""
    if file is None:
        return None
    from cryptography import x509

    try:
        chain = x509.load_pem_x509_certificates(file.read_bytes())
    except (OSError, ValueError):
        return None
    return min((one.not_valid_after_utc for one in chain), default=None)
