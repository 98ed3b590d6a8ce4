"""Which targets may be written to, how to reach them, and how they have done."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any, Final

from sqlalchemy import Connection, select, update

from underboard.store.database import reading, writing
from underboard.store.tables import DeviceRow, MailTargetRow, PushTargetRow

PUSH: Final = "push"
EMAIL: Final = "email"
PRUNED: Final = "The push service no longer knows this phone: allow notices again on it."


def open_targets(connection: Connection, plot_id: str) -> list[tuple[str, str]]:
    """Return (channel, id) of what may get a message: not stopped, not forgotten, not of a device put out."""
    phones = (
        select(PushTargetRow.device_id)
        .join(DeviceRow, DeviceRow.id == PushTargetRow.device_id)
        .where(
            PushTargetRow.plot_id == plot_id,
            PushTargetRow.endpoint.is_not(None),
            DeviceRow.revoked_at.is_(None),
        )
    )
    addresses = select(MailTargetRow.id).where(
        MailTargetRow.plot_id == plot_id, MailTargetRow.stopped_at.is_(None)
    )
    return [
        *((PUSH, device_id) for device_id in connection.scalars(phones)),
        *((EMAIL, target_id) for target_id in connection.scalars(addresses)),
    ]


def address_of(connection: Connection, plot_id: str, channel: str, target_id: str) -> dict[str, str] | None:
    """Return what a channel needs to reach a target, or None when it may get nothing."""
    if (channel, target_id) not in open_targets(connection, plot_id):
        return None
    if channel == PUSH:
        phone = connection.execute(select(PushTargetRow).where(PushTargetRow.device_id == target_id)).one()
        return {"endpoint": phone.endpoint, "p256dh": phone.p256dh, "auth": phone.auth}
    mail = connection.execute(select(MailTargetRow).where(MailTargetRow.id == target_id)).one()
    return {"address": mail.address, "stop_handle": mail.stop_handle}


def target_of(plot_id: str, channel: str, target_id: str) -> dict[str, str] | None:
    """`address_of`, for a message outside the outbox."""
    with reading() as connection:
        return address_of(connection, plot_id, channel, target_id)


def note_trial(channel: str, target_id: str, kind: str, words: str, now: datetime) -> None:
    """`note_outcome`, for a message outside the outbox."""
    with writing() as connection:
        note_outcome(connection, channel, target_id, kind, words, now)


def note_outcome(
    connection: Connection, channel: str, target_id: str, kind: str, words: str, now: datetime
) -> None:
    """Write down how a target did; `kind` and `words` as in `notify.port.Outcome`."""
    if kind == "ok":
        note_sent(connection, channel, target_id, now)
    elif kind == "gone":
        prune(connection, channel, target_id, words, now)
    else:
        note_failed(connection, channel, target_id, words, now)


def note_sent(connection: Connection, channel: str, target_id: str, now: datetime) -> None:
    """Write down that a message reached a target."""
    _set(connection, channel, target_id, last_sent_at=now, failing_since=None, failures=0, words=None)


def note_failed(connection: Connection, channel: str, target_id: str, words: str, now: datetime) -> None:
    """Write down that a target could not be reached, and why."""
    table = PushTargetRow if channel == PUSH else MailTargetRow
    key = PushTargetRow.device_id if channel == PUSH else MailTargetRow.id
    since = connection.execute(select(table.failing_since).where(key == target_id)).scalar_one_or_none()
    _set(
        connection, channel, target_id,
        failing_since=since or now, failures=table.failures + 1, words=words,
    )  # fmt: skip


def prune(connection: Connection, channel: str, target_id: str, words: str, now: datetime) -> None:
    """Forget how to reach a target that is gone; it keeps its place in the list, called dead."""
    note_failed(connection, channel, target_id, PRUNED if channel == PUSH else words, now)
    if channel == PUSH:
        _set(connection, channel, target_id, endpoint=None, p256dh="", auth="")


def _set(connection: Connection, channel: str, target_id: str, **values: Any) -> None:
    if channel == PUSH:
        connection.execute(update(PushTargetRow).where(PushTargetRow.device_id == target_id).values(**values))
    else:
        connection.execute(update(MailTargetRow).where(MailTargetRow.id == target_id).values(**values))


def aware(moment: datetime) -> datetime:
    """SQLite gives times back without their zone; all of ours are UTC."""
    return moment if moment.tzinfo is not None else moment.replace(tzinfo=UTC)


def known(moment: datetime | None) -> datetime | None:
    """`aware`, of a time that may be missing."""
    return aware(moment) if moment is not None else None
