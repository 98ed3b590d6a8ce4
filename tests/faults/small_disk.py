"""A disk that can be filled: a small file system in memory where this user may mount one, else a limit on files."""

from __future__ import annotations

import contextlib
import os
import resource
import subprocess
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

BLOCK = 65536


class SmallDisk:
    """`folder` lies on a disk of its own. What is written when it is full fails as on any full disk.

    Where nothing may be mounted, writers are told that files may not grow: to them the disk fails instead of being
    full, which `refusal` (the HTTP status for a push) tells apart.
    """

    def __init__(self, folder: Path, mounted: bool) -> None:
        self.folder, self.mounted = folder, mounted
        self._held: list[tuple[int, tuple[int, int]]] = []

    @property
    def refusal(self) -> int:
        return 507 if self.mounted else 503

    @property
    def _filler(self) -> Path:
        return self.folder / "filler"

    def fill(self, writers: Iterable[int], leave: int = 0) -> None:
        """Leave no room for the processes `writers`; `leave` bytes, if it is a disk of its own."""
        if not self.mounted:
            for pid in writers:
                before = resource.prlimit(pid, resource.RLIMIT_FSIZE, (4096, -1))
                self._held.append((pid, before))
            return
        with self._filler.open("wb", buffering=0) as filler, contextlib.suppress(OSError):
            while True:
                filler.write(bytes(BLOCK))
        if leave:
            os.truncate(self._filler, max(0, self._filler.stat().st_size - leave))

    def make_room(self) -> None:
        self._filler.unlink(missing_ok=True)
        for pid, before in self._held:
            with contextlib.suppress(ProcessLookupError):
                resource.prlimit(pid, resource.RLIMIT_FSIZE, before)
        self._held.clear()


@contextmanager
def small_disk(folder: Path, megabytes: int) -> Iterator[SmallDisk]:
    """Put an empty disk of this size at `folder`."""
    folder.mkdir(parents=True, exist_ok=True)
    size = f"size={megabytes}m"
    done = subprocess.run(["mount", "-t", "tmpfs", "-o", size, "tmpfs", str(folder)], capture_output=True)
    disk = SmallDisk(folder, done.returncode == 0)
    try:
        yield disk
    finally:
        disk.make_room()
        if done.returncode == 0:
            subprocess.run(["umount", "-l", str(folder)], check=True)


@contextmanager
def read_only(disk: SmallDisk) -> Iterator[None]:
    """The disk has turned itself read-only, as Linux does when it finds errors on one; or its folder is closed."""
    if disk.mounted:
        subprocess.run(["mount", "-o", "remount,ro", str(disk.folder)], check=True)
    else:
        disk.folder.chmod(0o500)
    try:
        yield
    finally:
        if disk.mounted:
            subprocess.run(["mount", "-o", "remount,rw", str(disk.folder)], check=True)
        else:
            disk.folder.chmod(0o700)
