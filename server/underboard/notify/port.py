"""What a channel is: one message to one target, and an answer that says what to do next.

Nothing here touches a network. `push` and `mail` do, `recorder` stands in for them in tests of other rooms.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal, Protocol

Kind = Literal["ok", "gone", "retry", "too_large", "refused"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Notice:
    """One warning inside a message, in the words that phones show. `worse`: it has risen since it was told."""

    warning_id: str
    rule: str
    headline: str
    why: str = ""
    advice: str = ""
    caution: str = ""
    severity: str = "Unknown"
    urgency: str = "Unknown"
    window_start: datetime | None = None
    window_end: datetime | None = None
    worse: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Message:
    """Everything one target is told in one turn, worst first.

    Parameters
    ----------
    id
        The same for a repeat of the same message, 32 letters and digits; by it a repeat is shown once.
    sent_at, expires_at
        Aware. After `expires_at` nobody needs to hear it.
    time_zone
        IANA name of the plot's zone, for the times in it.
    bare
        Sent as small as it can be, because the longer form was refused as too large.
    """

    id: str
    plot_name: str | None
    time_zone: str | None
    notices: tuple[Notice, ...]
    sent_at: datetime
    expires_at: datetime
    bare: bool = False

    @property
    def pressing(self) -> bool:
        """Whether it should wake a phone that saves its battery."""
        return any(
            one.severity in ("Extreme", "Severe") or one.urgency == "Immediate" for one in self.notices
        )


@dataclass(frozen=True, slots=True)
class Target:
    """Who gets it. `address` is what the channel needs: endpoint and keys, or address and stop token."""

    channel: str
    id: str
    address: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one message.

    Parameters
    ----------
    kind
        ok: taken; gone: that target is no more; retry: not now; too_large: send it shorter;
        refused: this message will never be taken there.
    words
        One plain sentence with the fix, for Sync and `doctor`; empty when all is well.
    retry_after
        Seconds that the other side asked us to wait.
    maybe_sent
        The connection broke when the message was on its way: it may have arrived.
    """

    kind: Kind
    words: str = ""
    retry_after: float | None = None
    maybe_sent: bool = False


class Channel(Protocol):
    """A way to reach people. `send` raises nothing that the network can cause."""

    def send(self, message: Message, target: Target) -> Outcome: ...


class Parcel(Protocol):
    """What an outbox leases out: one message to one target."""

    @property
    def id(self) -> str: ...
    @property
    def plot_name(self) -> str | None: ...
    @property
    def time_zone(self) -> str | None: ...
    @property
    def channel(self) -> str: ...
    @property
    def target_id(self) -> str: ...
    @property
    def address(self) -> Mapping[str, str]: ...
    @property
    def items(self) -> Sequence[Mapping[str, Any]]: ...
    @property
    def not_after(self) -> datetime: ...
