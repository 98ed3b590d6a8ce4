"""Answers that cost much to make, kept while what they were made from stays the same.

In memory and for one process: each process makes its own, so nothing has to be told to others when records come.
The key says everything that the answer follows from; a newer state of the plot is another key, and the old answer
is let go when its turn comes.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from threading import Lock
from typing import Any, Final

MOST: Final = 64
Answer = Mapping[str, Any]


class _Slot:
    """Where one answer goes; the lock is held while it is made."""

    __slots__ = ("answer", "lock")

    def __init__(self) -> None:
        self.answer: Answer | None = None
        self.lock = Lock()


class KeptAnswers:
    """At most `most` answers; the one that was not asked for the longest goes first. Safe among threads."""

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self._slots: OrderedDict[Hashable, _Slot] = OrderedDict()
        self._lock = Lock()

    def __len__(self) -> int:
        with self._lock:
            return len(self._slots)

    def get(self, key: Hashable, make: Callable[[], Answer]) -> Answer:
        """Return the answer of a key, made now if it is not there.

        Whoever asks for it while it is being made waits for that one; other keys do not wait. What `make` raises
        goes to the caller, and nothing is kept. Do not change what you are given: others get the same.
        """
        with self._lock:
            slot = self._slots.setdefault(key, _Slot())
            self._slots.move_to_end(key)
            while len(self._slots) > self._most:
                self._slots.popitem(last=False)
        with slot.lock:
            if slot.answer is None:
                try:
                    slot.answer = make()
                except BaseException:
                    self._drop(key, slot)
                    raise
            return slot.answer

    def _drop(self, key: Hashable, slot: _Slot) -> None:
        with self._lock:
            if self._slots.get(key) is slot:
                del self._slots[key]
