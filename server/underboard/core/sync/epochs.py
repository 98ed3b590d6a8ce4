"""Names of a plot's histories. Each restore begins a new one, and its name tells which history it stands on. Pure.

A phone may come with what it saw in a history that the restored database never knew: the wrong backup was brought
back first, people worked on it, then the right one. Revisions of such a history mean nothing here.
"""

from __future__ import annotations

import hashlib
import uuid

_RANDOM = 20


def epoch_after(before: str, fresh: uuid.UUID) -> str:
    """Return the name of a history that stands on `before`: random, but for its end."""
    return str(uuid.UUID(f"{fresh.hex[:_RANDOM]}{_mark(before)}"))


def stands_on(epoch: str, before: str) -> bool:
    """Say whether a history began as the copy of `before`. Names of an older release tell nothing."""
    return epoch.replace("-", "")[_RANDOM:] == _mark(before)


def _mark(epoch: str) -> str:
    return hashlib.sha256(epoch.encode()).hexdigest()[: 32 - _RANDOM]
