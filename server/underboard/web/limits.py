"""Rate limits in memory: so many in so long, counted per caller, by all workers of the server together.

Kept in memory on purpose: a restart may forget, and a table written at every request would cost more than it guards.
OWASP ASVS 5.0, 6.1.1: slow guessing down, never lock a person out for good.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from underboard.web.windows import MOST, Windows


@dataclass(frozen=True)
class Rule:
    """At most `times` within `seconds`."""

    name: str
    times: int
    seconds: float

    def __post_init__(self) -> None:
        if self.times > MOST:
            raise ValueError(f"no more than {MOST} tries can be counted")


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


class Limits:
    """Sliding windows; `take` answers how long to wait, 0 when the caller may go on.

    Parameters
    ----------
    monotonic
        A clock that all workers of the machine share, as `time.monotonic` is.
    windows
        The memory that they share; None: this process counts alone.
    """

    def __init__(
        self, monotonic: Callable[[], float], *, active: bool = True, windows: Windows | None = None
    ) -> None:
        self._monotonic = monotonic
        self._active = active
        self._windows = windows or Windows()

    def take(self, rule: Rule, caller: str) -> float:
        """Count one try of `caller`; seconds to wait when there were too many, else 0."""
        if not self._active:
            return 0.0
        now = self._monotonic()
        with self._windows.of(f"{rule.name} {caller}", now) as window:
            window[:] = [moment for moment in window if moment > now - rule.seconds]
            if len(window) >= rule.times:
                return max(0.001, window[0] + rule.seconds - now)
            window.append(now)
            return 0.0

    def give_back(self, rule: Rule, caller: str) -> None:
        """The try was an honest one: it does not count."""
        if not self._active:
            return
        with self._windows.of(f"{rule.name} {caller}", self._monotonic()) as window:
            if window:
                window.pop()
