"""A window that is over: was it warned of, did it come?"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from underboard.core.warnings.facts import StandingFact


@dataclass(frozen=True, slots=True)
class Window:
    """One thing that a rule could warn of, by its key. `answered`: people said whether it came."""

    key: str
    start: datetime
    warned: bool
    came: bool
    answered: bool = False


def in_time(warning: StandingFact) -> bool:
    """Whether a warning was raised before its window was over and not taken back before."""
    if warning.window_end is None or warning.raised_at >= warning.window_end:
        return False
    return warning.ended_at is None or warning.ended_at >= warning.window_end
