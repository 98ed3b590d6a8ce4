"""Digests that this process made and still has, so that a quiet pass takes none apart. Never the truth.

Whoever uses one takes it out, and puts it back under the new version once its pass is committed. A pass that
fails leaves nothing, and the next one reads from the database.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from underboard.core.warnings.digest import Digest
from underboard.core.warnings.facts import Facts

MOST_ENTRIES = 60_000
"""Entries of all digests together; about 1 kB each."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """A digest, the facts that were made from it, and what they teach.

    `version` is the summary's. `moved` are the types of entries that have changed in the digest since then: the
    pass's own warnings.
    """

    version: int
    digest: Digest
    facts: Facts
    taught: Mapping[str, Any]
    moved: frozenset[str]

    @property
    def size(self) -> int:
        return 20 + sum(map(len, self.digest.entries.values()))


class Memory:
    """Digests by plot, up to a bound; the ones used longest ago go first."""

    def __init__(self, most: int = MOST_ENTRIES) -> None:
        self._most = most
        # The size is kept beside it: who takes a digest out lets it grow.
        self._kept: dict[str, tuple[Remembered | None, int]] = {}
        self._size = 0

    def take(self, plot_id: str) -> Remembered | None:
        """Take out what is remembered of a plot."""
        found, size = self._kept.pop(plot_id, (None, 0))
        self._size -= size
        return found

    def put(self, plot_id: str, remembered: Remembered) -> None:
        self.take(plot_id)
        self._kept[plot_id] = remembered, remembered.size
        self._size += remembered.size
        while self._size > self._most:
            self.take(next(iter(self._kept)))
