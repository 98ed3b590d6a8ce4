"""A disk that turns itself read-only under a running server, as Linux does with one on which it finds errors.

A disk that files are open on for writing cannot be made read-only by hand, and one that turned so by itself cannot be
made writable again while it is in use: it has to be let go of, checked, and mounted anew. So it is done here.
"""

from __future__ import annotations

import contextlib
import resource
import subprocess
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path

MEGABYTES = 96


class BreakingDisk:
    """`folder` lies on a file system of its own, in a file.

    Where nothing may be mounted, writers are told that no file may be written: to them the disk fails instead.
    """

    def __init__(self, folder: Path, image: Path) -> None:
        self.folder, self._image = folder, image
        self.mounted = self._mount()

    def turn_read_only(self, writers: Iterable[int]) -> None:
        if not self.mounted:
            for pid in writers:
                resource.prlimit(pid, resource.RLIMIT_FSIZE, (0, -1))
            return
        found = subprocess.run(["findmnt", "-no", "SOURCE", self.folder], capture_output=True, check=True)
        device = Path(found.stdout.decode().strip()).name
        Path(f"/sys/fs/ext4/{device}/trigger_fs_error").write_text("1")
        with contextlib.suppress(OSError):
            (self.folder / "probe").touch()
            raise AssertionError("the disk can still be written")

    def mend(self) -> None:
        """Check the disk and put it back. Nobody may be on it."""
        if self.mounted:
            subprocess.run(["umount", self.folder], check=True)
            checked = subprocess.run(["e2fsck", "-fy", self._image], capture_output=True, text=True)
            assert checked.returncode in (0, 1), checked.stdout  # 1: there was something to mend
            assert self._mount()

    def _mount(self) -> bool:
        words = ["mount", "-o", "loop,errors=remount-ro", str(self._image), str(self.folder)]
        return subprocess.run(words, capture_output=True).returncode == 0


@contextmanager
def breaking_disk(folder: Path) -> Iterator[BreakingDisk]:
    """Put an empty disk at `folder`."""
    folder.mkdir(parents=True)
    image = folder.with_name("disk.img")
    with image.open("wb") as file:
        file.truncate(MEGABYTES * 1024 * 1024)
    with contextlib.suppress(FileNotFoundError):  # a system without such disks
        subprocess.run(["mkfs.ext4", "-q", "-F", image], capture_output=True)
    disk = BreakingDisk(folder, image)
    try:
        yield disk
    finally:
        if disk.mounted:
            subprocess.run(["umount", "-l", folder], check=True)
        image.unlink()
