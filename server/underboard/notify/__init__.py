"""Carrying warnings to people: notices on phones, mails, a calendar.

The one room that speaks to machines outside. It knows nothing of the database: whoever runs a turn hands in how
to lease a message and how to settle it.

    send_due(outbox.lease_due, outbox.settle, channels_of(settings), now)
"""

from __future__ import annotations

from collections.abc import Mapping

from underboard.config import Settings
from underboard.notify.port import Channel, Message, Notice, Outcome, Target
from underboard.notify.turn import Turn, send_due

__all__ = ["Channel", "Message", "Notice", "Outcome", "Target", "Turn", "channels_of", "send_due"]


def channels_of(settings: Settings) -> Mapping[str, Channel]:
    """Return every channel by its name, as the settings say. Nothing is connected yet."""
    from underboard.notify.mail import MailChannel
    from underboard.notify.push import PushChannel

    return {"push": PushChannel.of(settings), "email": MailChannel.of(settings)}
