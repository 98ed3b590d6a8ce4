"""A lock for the threads of all workers that were forked after it was made."""

from __future__ import annotations

import os
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager

try:
    import fcntl
except ImportError:  # a system without it has one worker
    fcntl = None  # type: ignore[assignment]


class SharedLock:
    """Holds threads apart, and with `shared` processes too.

    The system's locks on a file's bytes go with a worker that is killed. The file is open as long as the server lives.
    """

    def __init__(self, *, shared: bool) -> None:
        self._threads = threading.Lock()
        self._file = _nameless_file() if shared and fcntl is not None else None

    @contextmanager
    def held(self, part: int = 0) -> Iterator[None]:
        """Hold one of many parts; other processes may hold other parts meanwhile."""
        with self._threads:
            if self._file is None:
                yield
                return
            fcntl.lockf(self._file, fcntl.LOCK_EX, 1, part)
            try:
                yield
            finally:
                fcntl.lockf(self._file, fcntl.LOCK_UN, 1, part)


def _nameless_file() -> int:
    if hasattr(os, "memfd_create"):
        return os.memfd_create("underboard-lock")
    with tempfile.TemporaryFile() as file:
        return os.dup(file.fileno())
