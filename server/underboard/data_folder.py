"""The files that every data folder has: its parts, the server's id, secrets that only this user can read."""

from __future__ import annotations

import os
import uuid
from collections.abc import Callable
from pathlib import Path

from underboard.config import Settings, SettingsError


def prepare_data_folder(settings: Settings) -> None:
    """Make the folders that must exist; keys are closed to everybody else. Safe to repeat."""
    try:
        settings.data.mkdir(parents=True, exist_ok=True)
        settings.blobs.mkdir(exist_ok=True)
        settings.keys.mkdir(mode=0o700, exist_ok=True)
        settings.keys.chmod(0o700)
    except OSError as fault:
        raise SettingsError(
            f"The data folder {settings.data} can't be made ({fault.strerror}): choose another with --data."
        ) from fault


def server_id(settings: Settings) -> str:
    """This server's own id, made once; phones use it to tell home from a stranger's network."""
    file = settings.server_id_file
    if not file.exists():
        fresh = settings.data / f"server_id.{uuid.uuid4().hex}"
        fresh.write_text(str(uuid.uuid4()) + "\n")
        try:
            # link() fails when another process was first, where a rename would replace its id
            os.link(fresh, file)
        except FileExistsError:
            pass
        finally:
            fresh.unlink()
    return file.read_text().strip()


def write_secret(file: Path, text: str) -> None:
    """Write a small secret that only this user can read, replacing an older one."""
    fresh = file.with_name(f"{file.name}.{uuid.uuid4().hex}")
    with os.fdopen(os.open(fresh, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as out:
        out.write(text + "\n")
    fresh.chmod(0o600)
    fresh.replace(file)


def secret_once(file: Path, make: Callable[[], str]) -> str:
    """Read a secret that is made at its first use; of several processes that make it one wins."""
    if not file.exists():
        fresh = file.with_name(f"{file.name}.{uuid.uuid4().hex}")
        write_secret(fresh, make())
        try:
            os.link(fresh, file)
        except FileExistsError:
            pass
        finally:
            fresh.unlink()
    return file.read_text("utf-8")
