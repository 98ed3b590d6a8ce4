"""Who uses a data folder: any number of servers and commands together, or a restore alone.

The lock is the system's (flock): it goes with the process, however that ends, and a server's forked worker holds
it on when only its parent was killed.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from underboard.core.errors import FolderInUse

try:
    import fcntl
except ImportError:  # a system without it: nobody is stopped
    fcntl = None  # type: ignore[assignment]

PATIENCE_S = 1.0


@contextmanager
def in_use(lock: Path, *, alone: bool = False) -> Iterator[None]:
    """Use the folder that `lock` lies in, with others or alone.

    Raises
    ------
    FolderInUse
        Others are at it and were not gone within a second.
    """
    handle = _take(lock, alone)
    try:
        yield
    finally:
        if handle is not None:
            os.close(handle)


def _take(lock: Path, alone: bool) -> int | None:
    if fcntl is None:
        return None
    handle = os.open(lock, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            fcntl.flock(handle, (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB)
            return handle
        except BlockingIOError:
            if time.monotonic() > until:
                os.close(handle)
                raise FolderInUse(_words(lock.parent, alone)) from None
            time.sleep(0.05)
        except OSError:  # a disk that knows no locks
            os.close(handle)
            return None


def _words(folder: Path, alone: bool) -> str:
    if alone:
        return f"A server or a command of Underboard runs on {folder}: stop it, then restore. Nothing was changed."
    return f"A backup is being put back into {folder}: wait until that is done."
