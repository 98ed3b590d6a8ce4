"""Counters of all workers of a server, and their text form for Prometheus.

They lie in memory that the workers share, else whoever asks one of them would hear of a part only: phones come by
https, and the counters are asked for by http, which is another worker.

Text format: Prometheus documentation, "Exposition formats", version 0.0.4.
"""

from __future__ import annotations

import mmap
import struct
from typing import Any, Final

from underboard.web.shared_lock import SharedLock

HELP: Final = {
    "underboard_requests_total": "Requests answered, by route and status.",
    "underboard_request_seconds_total": "Seconds spent answering, by route.",
    "underboard_push_operations_total": "Operations pushed by phones, by result.",
    "underboard_pull_records_total": "Records handed out to phones.",
    "underboard_pairings_total": "Tries to pair, by result.",
    "underboard_photos_total": "Photos stored.",
}
MOST: Final = 2048
"""Counters with labels that there is room for: some hundred routes × methods × statuses are in use."""
_COUNT: Final = struct.Struct("=I4x")
_SLOT: Final = struct.Struct("=dB247s")


class Tallies:
    """Counts that only grow; safe to add to from many threads, and with `shared` from many processes."""

    def __init__(self, *, shared: bool = False) -> None:
        self._lock = SharedLock(shared=shared)
        self._memory = mmap.mmap(-1, _COUNT.size + MOST * _SLOT.size)
        self._places: dict[str, int] = {}

    def __reduce__(self) -> tuple[Any, ...]:
        """Where workers are not forked, each has its own."""
        return (Tallies, ())

    def add(self, name: str, amount: float = 1, **labels: str) -> None:
        """Add to one counter; `name` must be listed in HELP."""
        if name not in HELP:
            raise ValueError(f"no counter is called {name}")
        key = name + _braces(tuple(sorted(labels.items())))
        with self._lock.held():
            place = self._place(key)
            if place is not None:
                (before,) = struct.unpack_from("=d", self._memory, place)
                struct.pack_into("=d", self._memory, place, before + amount)

    def text(self, gauges: dict[str, tuple[str, float]]) -> str:
        """Everything counted so far, then `gauges` as name → (help, value)."""
        lines: list[str] = []
        with self._lock.held():
            self._learn()
            counts = [
                (key, struct.unpack_from("=d", self._memory, at)[0])
                for key, at in sorted(self._places.items())
            ]
        for name, words in HELP.items():
            lines += [f"# HELP {name} {words}", f"# TYPE {name} counter"]
            lines += [f"{key} {value:.15g}" for key, value in counts if key.partition("{")[0] == name]
        for name, (words, value) in gauges.items():
            lines += [f"# HELP {name} {words}", f"# TYPE {name} gauge", f"{name} {value:g}"]
        return "\n".join(lines) + "\n"

    def _place(self, key: str) -> int | None:
        """Where a counter lies; it is put behind the others when nobody has counted it yet."""
        if key in self._places:
            return self._places[key]
        self._learn()
        if key in self._places:
            return self._places[key]
        (used,) = _COUNT.unpack_from(self._memory)
        name = key.encode()
        if used >= MOST or len(name) > 247:
            return None
        place: int = _COUNT.size + used * _SLOT.size
        _SLOT.pack_into(self._memory, place, 0.0, len(name), name)
        _COUNT.pack_into(self._memory, 0, used + 1)
        self._places[key] = place
        return place

    def _learn(self) -> None:
        """Take in what other workers have begun to count."""
        (used,) = _COUNT.unpack_from(self._memory)
        for number in range(len(self._places), used):
            place = _COUNT.size + number * _SLOT.size
            _, length, name = _SLOT.unpack_from(self._memory, place)
            self._places[name[:length].decode()] = place


def _braces(labels: tuple[tuple[str, str], ...]) -> str:
    if not labels:
        return ""
    return "{" + ",".join(f'{key}="{_escaped(value)}"' for key, value in labels) + "}"


def _escaped(value: str) -> str:
    return value.replace("\\", r"\\").replace("\n", r"\n").replace('"', r"\"")
