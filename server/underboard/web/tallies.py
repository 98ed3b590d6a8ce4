"""Counters of this process, and their text form for Prometheus.

Text format: Prometheus documentation, "Exposition formats", version 0.0.4.
"""

from __future__ import annotations

import threading
from collections import Counter
from typing import Final

HELP: Final = {
    "underboard_requests_total": "Requests answered, by route and status.",
    "underboard_request_seconds_total": "Seconds spent answering, by route.",
    "underboard_push_operations_total": "Operations pushed by phones, by result.",
    "underboard_pull_records_total": "Records handed out to phones.",
    "underboard_pairings_total": "Tries to pair, by result.",
    "underboard_photos_total": "Photos stored.",
}

Labels = tuple[tuple[str, str], ...]


class Tallies:
    """Counts that only grow; safe to add to from many threads."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._counts: Counter[tuple[str, Labels]] = Counter()

    def add(self, name: str, amount: float = 1, **labels: str) -> None:
        """Add to one counter; `name` must be listed in HELP."""
        if name not in HELP:
            raise ValueError(f"no counter is called {name}")
        with self._lock:
            self._counts[(name, tuple(sorted(labels.items())))] += amount  # type: ignore[assignment]  # float

    def text(self, gauges: dict[str, tuple[str, float]]) -> str:
        """Everything counted so far, then `gauges` as name → (help, value)."""
        lines: list[str] = []
        with self._lock:
            counts = sorted(self._counts.items())
        for name, words in HELP.items():
            lines += [f"# HELP {name} {words}", f"# TYPE {name} counter"]
            lines += [f"{name}{_braces(labels)} {value:g}" for (of, labels), value in counts if of == name]
        for name, (words, value) in gauges.items():
            lines += [f"# HELP {name} {words}", f"# TYPE {name} gauge", f"{name} {value:g}"]
        return "\n".join(lines) + "\n"


def _braces(labels: Labels) -> str:
    if not labels:
        return ""
    return "{" + ",".join(f'{key}="{_escaped(value)}"' for key, value in labels) + "}"


def _escaped(value: str) -> str:
    return value.replace("\\", r"\\").replace("\n", r"\n").replace('"', r"\"")
