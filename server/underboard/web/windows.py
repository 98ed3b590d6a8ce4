"""Moments of the last tries of each caller, in memory that all workers of a server share.

Made before the workers are forked; a worker that is started anew is forked from the same watcher and finds it again.
Nothing is written to a disk or a database, so that a push costs what it did: a lock and a look at 2 KiB.

A caller's place follows from a hash of its name: one of eight slots of its row. A flood of made-up callers can push
out only those that have been quiet for longer than it, and the memory never grows.
"""

from __future__ import annotations

import hashlib
import mmap
import struct
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

from underboard.web.shared_lock import SharedLock

MOST: Final = 250
"""Moments kept for one caller; a rule may allow no more tries than that."""
ROWS: Final = 1024
_IN_A_ROW: Final = 8
_HEAD: Final = struct.Struct("=16sI4xd")
"""Hash of the caller, how many moments follow, when it last tried (let through or not)."""
_SLOT: Final = _HEAD.size + 8 * MOST
_EMPTY: Final = bytes(16)


class Windows:
    """`ROWS` × 8 callers, 16 MiB of which only what is used is taken from the system.

    Parameters
    ----------
    shared
        Several processes, forked after this was made, will be at it.
    """

    def __init__(self, *, shared: bool = False) -> None:
        self._memory = mmap.mmap(-1, ROWS * _IN_A_ROW * _SLOT)
        self._lock = SharedLock(shared=shared)

    def __reduce__(self) -> tuple[Any, ...]:
        """Where workers are not forked, each has its own."""
        return (Windows, ())

    @contextmanager
    def of(self, caller: str, now: float) -> Iterator[list[float]]:
        """The moments of a caller, oldest first. What is done to the list inside is kept; nobody else is at it."""
        key = hashlib.blake2b(caller.encode(), digest_size=16).digest()
        row = int.from_bytes(key[:4]) % ROWS
        with self._lock.held(row):
            place = self._place(row, key)
            moments = self._read(place, key)
            yield moments
            self._write(place, key, moments[-MOST:], now)

    def callers(self) -> int:
        """How many callers are remembered."""
        places = range(0, len(self._memory), _SLOT)
        return sum(self._memory[place : place + 16] != _EMPTY for place in places)

    def _place(self, row: int, key: bytes) -> int:
        """The caller's own slot, or an empty one, or that of whoever has been quiet for longest."""
        places = [(row * _IN_A_ROW + number) * _SLOT for number in range(_IN_A_ROW)]
        keys = [self._memory[place : place + 16] for place in places]
        for wanted in (key, _EMPTY):
            if wanted in keys:
                return places[keys.index(wanted)]
        return min(places, key=self._last)

    def _last(self, place: int) -> float:
        return float(_HEAD.unpack_from(self._memory, place)[2])

    def _read(self, place: int, key: bytes) -> list[float]:
        found, count, _ = _HEAD.unpack_from(self._memory, place)
        if found != key or count > MOST:
            return []
        return list(struct.unpack_from(f"={count}d", self._memory, place + _HEAD.size))

    def _write(self, place: int, key: bytes, moments: list[float], now: float) -> None:
        struct.pack_into(f"={len(moments)}d", self._memory, place + _HEAD.size, *moments)
        _HEAD.pack_into(self._memory, place, key if moments else _EMPTY, len(moments), now)
