"""Places for work under way. Who is killed leaves his behind; the next one who works here takes it away."""

from __future__ import annotations

import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

try:
    import fcntl
except ImportError:  # a system without it: what is a day old is nobody's any more
    fcntl = None  # type: ignore[assignment]

_A_DAY_S = 86_400


@contextmanager
def scratch_folder(parent: Path, prefix: str) -> Iterator[Path]:
    """Give a folder below `parent` that only this user can read; it is gone afterwards."""
    sweep(parent, prefix)
    folder = Path(tempfile.mkdtemp(prefix=prefix, dir=parent))
    handle = _hold(folder)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        _let_go(handle)


@contextmanager
def scratch_file(parent: Path, prefix: str) -> Iterator[Path]:
    """Give a new file in `parent` that only this user can read; what was not moved away is gone afterwards."""
    sweep(parent, prefix)
    number, name = tempfile.mkstemp(prefix=prefix, suffix=".part", dir=parent)
    os.close(number)
    handle = _hold(Path(name))
    try:
        yield Path(name)
    finally:
        Path(name).unlink(missing_ok=True)
        _let_go(handle)


def sweep(parent: Path, prefix: str) -> None:
    """Take away what others left in `parent` under this prefix and hold no more."""
    for left in parent.glob(f"{prefix}*"):
        if not _is_held(left):
            if left.is_dir():
                shutil.rmtree(left, ignore_errors=True)
            else:
                left.unlink(missing_ok=True)


def _hold(path: Path) -> int | None:
    if fcntl is None:
        return None
    handle = os.open(path, os.O_RDONLY)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:  # a disk that knows no locks
        os.close(handle)
        return None
    return handle


def _let_go(handle: int | None) -> None:
    if handle is not None:
        os.close(handle)


def _is_held(path: Path) -> bool:
    """Say whether somebody is still at it; where locks say nothing, for a day."""
    try:
        handle = os.open(path, os.O_RDONLY)
    except OSError:
        return False
    try:
        if fcntl is None:
            return time.time() - path.stat().st_mtime < _A_DAY_S
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        return False
    except BlockingIOError:
        return True
    except OSError:
        return time.time() - path.stat().st_mtime < _A_DAY_S
    finally:
        os.close(handle)
