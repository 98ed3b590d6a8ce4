"""One point of a watched series."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Point:
    """What a method says of one round.

    Attributes
    ----------
    i
        Position in the series, from 0.
    count
        What was counted.
    expected
        What the earlier rounds lead to expect.
    limit
        Alarm above this. It limits the count, but for ears_c3 and cusum the score.
    score
        How far the count stands out; each method has its own scale.
    alarm
        Whether to raise the alarm.
    """

    i: int
    count: float
    expected: float | None
    limit: float
    score: float | None
    alarm: bool
