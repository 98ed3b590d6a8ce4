"""One turn of sending: everything that is due, one message a target."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final, TypeVar

import structlog

from underboard.notify.port import Channel, Message, Notice, Outcome, Parcel, Target

MOST_A_TURN: Final = 500
# OASIS Common Alerting Protocol 1.2, section 3.2.2; the worst comes first in a digest.
_WORST_FIRST: Final = ("Extreme", "Severe", "Moderate", "Minor", "Unknown")
NO_CHANNEL: Final = "This server has no way to send that: it is not set up."

P = TypeVar("P", bound=Parcel)


@dataclass(frozen=True, slots=True)
class Turn:
    """How many messages were taken, put off, and given up in one turn."""

    sent: int = 0
    put_off: int = 0
    given_up: int = 0


def send_due(
    lease: Callable[[datetime, frozenset[tuple[str, str]]], P | None],
    settle: Callable[[P, Outcome, datetime], object],
    channels: Mapping[str, Channel],
    now: Callable[[], datetime],
    most: int = MOST_A_TURN,
) -> Turn:
    """Send what is due until nothing is, or `most` messages have gone.

    Parameters
    ----------
    lease, settle
        The outbox: gives out one message at a time, and takes down what became of it.
    channels
        By name; see `channels_of`.
    """
    turn = Turn()
    served: frozenset[tuple[str, str]] = frozenset()
    for _ in range(most):
        parcel = lease(now(), served)
        if parcel is None:
            break
        served |= {(parcel.channel, parcel.target_id)}
        outcome = _deliver(channels.get(parcel.channel), parcel, now())
        settle(parcel, outcome, now())
        turn = _counted(turn, outcome)
    return turn


def _deliver(channel: Channel | None, parcel: Parcel, now: datetime) -> Outcome:
    if channel is None:
        return Outcome("retry", NO_CHANNEL)
    message = message_of(parcel, now)
    target = Target(parcel.channel, parcel.target_id, parcel.address)
    try:
        outcome = channel.send(message, target)
        if outcome.kind == "too_large":
            outcome = channel.send(replace(message, bare=True), target)
    except Exception as fault:
        # A fault of ours must not hold up the other targets, and the message is still owed.
        structlog.get_logger("underboard").error("channel failed", channel=parcel.channel, exc_info=fault)
        return Outcome(
            "retry", "The server made a mistake while sending; its log says which.", maybe_sent=True
        )
    return Outcome("refused", outcome.words) if outcome.kind == "too_large" else outcome


def _counted(turn: Turn, outcome: Outcome) -> Turn:
    if outcome.kind == "ok":
        return replace(turn, sent=turn.sent + 1)
    if outcome.kind == "retry":
        return replace(turn, put_off=turn.put_off + 1)
    return replace(turn, given_up=turn.given_up + 1)


def message_of(parcel: Parcel, now: datetime) -> Message:
    """Make the message of a parcel: a digest of its warnings, worst first."""
    notices = sorted((_notice(item) for item in parcel.items), key=_rank)
    return Message(
        id=parcel.id,
        plot_name=parcel.plot_name,
        time_zone=parcel.time_zone,
        notices=tuple(notices),
        sent_at=now,
        expires_at=parcel.not_after,
    )


def _rank(notice: Notice) -> tuple[int, str, str]:
    severity = notice.severity if notice.severity in _WORST_FIRST else "Unknown"
    start = notice.window_start.isoformat() if notice.window_start is not None else ""
    return _WORST_FIRST.index(severity), start, notice.warning_id


def _notice(body: Mapping[str, Any]) -> Notice:
    def text(name: str, default: str = "") -> str:
        value = body.get(name)
        return value if isinstance(value, str) else default

    return Notice(
        warning_id=text("id"),
        rule=text("rule"),
        headline=text("headline"),
        why=text("why"),
        advice=text("advice"),
        caution=text("caution"),
        severity=text("severity", "Unknown"),
        urgency=text("urgency", "Unknown"),
        window_start=_moment(body.get("window_start")),
        window_end=_moment(body.get("window_end")),
        worse=body.get("stage") == "worse",
    )


def _moment(value: object) -> datetime | None:
    try:
        moment = datetime.fromisoformat(value) if isinstance(value, str) else None
    except ValueError:
        return None
    return moment if moment is not None and moment.tzinfo is not None else None
