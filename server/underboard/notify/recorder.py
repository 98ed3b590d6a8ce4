"""A channel that keeps what it is given, for tests of rooms that only care that something was sent."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from underboard.notify.port import Message, Outcome, Target


@dataclass
class Recorder:
    """Takes every message, unless `answer` says otherwise."""

    answer: Callable[[Message, Target], Outcome] = lambda _message, _target: Outcome("ok")
    sent: list[tuple[Message, Target]] = field(default_factory=list)

    def send(self, message: Message, target: Target) -> Outcome:
        """Keep it, and say what `answer` says."""
        self.sent.append((message, target))
        return self.answer(message, target)
