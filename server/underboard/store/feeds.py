"""The secret address of a plot's calendar. Only its hash is kept, so it can be replaced but not shown again."""

from __future__ import annotations

import hashlib
import secrets
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import delete, insert, select, update

from underboard.store.database import reading, writing
from underboard.store.reach import aware, known
from underboard.store.tables import CalendarFeedRow


@dataclass(frozen=True, slots=True)
class Feed:
    """A calendar address, without its secret."""

    plot_id: str
    made_at: datetime
    last_read_at: datetime | None


def make_feed(plot_id: str, now: datetime) -> str:
    """Make the plot's calendar address and return its secret, which is shown this once. An older one ends."""
    secret = secrets.token_urlsafe(24)
    row = {"plot_id": plot_id, "secret_sha256": _hash(secret), "made_at": now, "last_read_at": None}
    with writing() as connection:
        connection.execute(delete(CalendarFeedRow).where(CalendarFeedRow.plot_id == plot_id))
        connection.execute(insert(CalendarFeedRow), [row])
    return secret


def revoke_feed(plot_id: str) -> None:
    """Let nobody read the calendar by its address any more."""
    with writing() as connection:
        connection.execute(delete(CalendarFeedRow).where(CalendarFeedRow.plot_id == plot_id))


def plot_of_feed(secret: str, now: datetime) -> str | None:
    """Return whose calendar `secret` opens, and note that it was read; None when it opens nothing."""
    statement = select(CalendarFeedRow).where(CalendarFeedRow.secret_sha256 == _hash(secret))
    with reading() as connection:
        row = connection.execute(statement).one_or_none()
    if row is None:
        return None
    if row.last_read_at is None or (now - aware(row.last_read_at)).total_seconds() > 600:
        seen = update(CalendarFeedRow).where(CalendarFeedRow.secret_sha256 == row.secret_sha256)
        with writing() as connection:
            connection.execute(seen.values(last_read_at=now))
    return str(row.plot_id)


def feed_of(plot_id: str) -> Feed | None:
    """Return the plot's calendar address, if it has one."""
    with reading() as connection:
        row = connection.execute(
            select(CalendarFeedRow).where(CalendarFeedRow.plot_id == plot_id)
        ).one_or_none()
    return Feed(row.plot_id, aware(row.made_at), known(row.last_read_at)) if row is not None else None


def _hash(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
