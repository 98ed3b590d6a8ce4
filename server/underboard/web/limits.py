"""Rate limits in memory: so many in so long, counted per caller.

Kept in the process on purpose: one process serves a plot, a restart may forget, and a table written at
every request would cost more than it guards. OWASP ASVS 5.0, 6.1.1: slow guessing down, never lock a
person out for good.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True)
class Rule:
    """At most `times` within `seconds`."""

    name: str
    times: int
    seconds: float


PAIR_FAILURES: Final = Rule("pair", 20, 3600.0)
SYNC: Final = Rule("sync", 60, 60.0)
PHOTOS: Final = Rule("photos", 240, 60.0)
READINGS: Final = Rule("readings", 60, 60.0)
EXPORTS: Final = Rule("exports", 20, 60.0)
IMPORTS: Final = Rule("imports", 20, 60.0)
REPORTS: Final = Rule("reports", 20, 60.0)
CHANNELS: Final = Rule("channels", 30, 60.0)
TRIALS: Final = Rule("trials", 6, 60.0)
FEED: Final = Rule("feed", 240, 3600.0)
SECRET_FAILURES: Final = Rule("secrets", 20, 3600.0)
MAX_CALLERS: Final = 20_000


class Limits:
    """Sliding windows; `take` answers how long to wait, 0 when the caller may go on."""

    def __init__(self, monotonic: Callable[[], float], *, active: bool = True) -> None:
        self._monotonic = monotonic
        self._active = active
        self._lock = threading.Lock()
        self._taken: dict[tuple[str, str], deque[float]] = {}

    def take(self, rule: Rule, caller: str) -> float:
        """Count one try of `caller`; seconds to wait when there were too many, else 0."""
        if not self._active:
            return 0.0
        now = self._monotonic()
        with self._lock:
            window = self._window(rule, caller, now)
            if len(window) >= rule.times:
                return max(0.001, window[0] + rule.seconds - now)
            window.append(now)
            return 0.0

    def give_back(self, rule: Rule, caller: str) -> None:
        """Forget the newest try, when it turned out to be an honest one."""
        with self._lock:
            window = self._taken.get((rule.name, caller))
            if window:
                window.pop()

    def _window(self, rule: Rule, caller: str, now: float) -> deque[float]:
        if len(self._taken) > MAX_CALLERS:
            # a flood of made-up callers must not eat the memory: forget whoever has been quiet for an hour
            self._taken = {key: seen for key, seen in self._taken.items() if seen and seen[-1] > now - 3600.0}
        window = self._taken.setdefault((rule.name, caller), deque())
        while window and window[0] <= now - rule.seconds:
            window.popleft()
        return window
