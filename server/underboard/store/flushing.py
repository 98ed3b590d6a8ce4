"""Bringing what was written to the disk, so that it outlives a power cut."""

from __future__ import annotations

import os
from pathlib import Path


def flush_folder(folder: Path) -> None:
    """Bring a folder's names to the disk: a rename is only safe after it."""
    flush_file(folder)


def flush_file(path: Path) -> None:
    """Bring a file to the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def flush_tree(folder: Path) -> None:
    """Bring every file and folder below `folder` to the disk."""
    for place, _, names in os.walk(folder):
        for name in names:
            flush_file(Path(place) / name)
        flush_folder(Path(place))
