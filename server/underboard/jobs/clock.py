"""The clock that jobs are handed; tests hand in one that they turn themselves."""

from __future__ import annotations

import time
from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """What time it is, how much of it has passed, and waiting."""

    def now(self) -> datetime:
        """The wall clock, aware; it may jump."""
        ...

    def monotonic(self) -> float:
        """Seconds that never jump."""
        ...

    def sleep(self, seconds: float) -> None: ...


class SystemClock:
    """The machine's own clock."""

    def now(self) -> datetime:
        return datetime.now(UTC)

    def monotonic(self) -> float:
        return time.monotonic()

    def sleep(self, seconds: float) -> None:
        time.sleep(seconds)
