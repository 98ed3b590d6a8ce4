"""Planning messages: which warning should reach which phone or mail address, and from when on.

A row's id is made from warning, channel, target and stage, so whatever plans it again plans nothing. `outbox`
sends what is planned here.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from typing import Any, Final

from sqlalchemy import Connection
from sqlalchemy.dialects import postgresql, sqlite

from underboard.core.warnings.timing import QuietHours
from underboard.store.reach import EMAIL, PUSH, open_targets
from underboard.store.tables import DeliveryRow

NAMESPACE: Final = uuid.UUID("6f1c2a52-6c1d-5c1e-9d0f-5d5d2a0c7b11")
CHANNELS: Final = (PUSH, EMAIL)
QUIET_FROM, QUIET_TO = "22:00", "06:00"
"""Where a rule's settings say nothing: people sleep."""


@dataclass(frozen=True, kw_only=True, slots=True)
class News:
    """A warning that people should hear of now.

    Parameters
    ----------
    stage
        "raised", or "worse" when its severity rose; each is told once.
    window_end
        After it the message is worth nothing.
    wakes
        Whether the rule speaks in quiet hours when its settings don't say.
    """

    warning_id: str
    rule: str
    stage: str
    window_end: datetime
    wakes: bool = False


def delivery_id(warning_id: str, channel: str, target_id: str, stage: str) -> str:
    """Return the id that this delivery has whenever it is planned."""
    return str(uuid.uuid5(NAMESPACE, f"{warning_id}/{channel}/{target_id}/{stage}"))


def plan_deliveries(
    connection: Connection,
    plot_id: str,
    news: Iterable[News],
    watches: Mapping[str, Mapping[str, Any]],
    now: datetime,
    zone: tzinfo,
) -> int:
    """Put news into the outbox, inside the caller's transaction; return how many messages are new.

    Parameters
    ----------
    watches
        The body of each rule's `watch` record, by rule; rules without one use what is usual.
    zone
        The plot's time zone, for its quiet hours.
    """
    news = list(news)
    targets = open_targets(connection, plot_id) if news else []
    rows = [
        _row(plot_id, one, channel, target_id, watches.get(one.rule) or {}, now, zone)
        for one in news
        if one.window_end > now
        for channel, target_id in targets
        if channel in _channels(watches.get(one.rule) or {})
    ]
    if not rows:
        return 0
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    made = connection.execute(insert(DeliveryRow).on_conflict_do_nothing().returning(DeliveryRow.id), rows)
    return len(made.all())


def _channels(watch: Mapping[str, Any]) -> Sequence[str]:
    chosen = watch.get("channels")
    return CHANNELS if not isinstance(chosen, list) else chosen


def _row(
    plot_id: str,
    news: News,
    channel: str,
    target_id: str,
    watch: Mapping[str, Any],
    now: datetime,
    zone: tzinfo,
) -> dict[str, Any]:
    return {
        "id": delivery_id(news.warning_id, channel, target_id, news.stage),
        "plot_id": plot_id,
        "warning_id": news.warning_id,
        "channel": channel,
        "target_id": target_id,
        "stage": news.stage,
        "state": "pending",
        "made_at": now,
        "next_try_at": first_try(watch, news.wakes, now, zone),
        "not_after": news.window_end.astimezone(UTC),
        "attempts": 0,
        "fence": 0,
    }


def first_try(watch: Mapping[str, Any], wakes: bool, now: datetime, zone: tzinfo) -> datetime:
    """Return when a message may go out: now, or when the quiet hours end."""
    settings = watch.get("settings") or {}
    said = settings.get("wake")
    if said if isinstance(said, bool) else wakes:
        return now
    quiet = QuietHours.read(watch.get("quiet_from") or QUIET_FROM, watch.get("quiet_to") or QUIET_TO)
    return (quiet.until(now, zone) if quiet is not None else None) or now
