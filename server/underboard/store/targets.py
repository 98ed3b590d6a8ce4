"""Where a plot's warnings go: phones that take notices, and mail addresses.

A target that fails stays in the list with the reason, so that somebody can mend it; it is never dropped in
silence. What a push service no longer knows loses its endpoint and keys, and keeps its place until the phone
asks again.
"""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sqlalchemy import delete, insert, select, update
from sqlalchemy.exc import IntegrityError

from underboard.core.errors import NotHere
from underboard.store.database import reading, writing
from underboard.store.people import new_id
from underboard.store.reach import EMAIL, PUSH, aware, known
from underboard.store.tables import DeviceRow, MailTargetRow, PushTargetRow

DEAD_AFTER: Final = 3
"""A target that failed as often in a row is called dead."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How one target does, for the Sync screen and `doctor`.

    `state` is ok, failing (tried again later), dead (nothing arrives) or stopped (its reader said so). `label`
    is the device's name or the mail address.
    """

    channel: str
    id: str
    label: str
    state: str
    made_at: datetime
    last_sent_at: datetime | None
    failing_since: datetime | None
    words: str | None


def subscribe_phone(
    plot_id: str, device_id: str, endpoint: str, p256dh: str, auth: str, now: datetime
) -> None:
    """Send this phone's notices to `endpoint` from now on; an older one of the same phone is replaced.

    An endpoint belongs to one browser: when that browser was paired anew, the older device loses it.
    """
    fresh = {"endpoint": endpoint, "p256dh": p256dh, "auth": auth, "failing_since": None}
    with writing() as connection:
        connection.execute(delete(PushTargetRow).where(PushTargetRow.endpoint == endpoint))
        changed = connection.execute(
            update(PushTargetRow)
            .where(PushTargetRow.device_id == device_id)
            .values(**fresh, made_at=now, failures=0, words=None)
        ).rowcount
        if not changed:
            row = {**fresh, "device_id": device_id, "plot_id": plot_id, "made_at": now, "failures": 0}
            connection.execute(insert(PushTargetRow), [row])


def unsubscribe_phone(device_id: str) -> None:
    """Send this phone no more notices."""
    with writing() as connection:
        connection.execute(delete(PushTargetRow).where(PushTargetRow.device_id == device_id))


def add_address(plot_id: str, address: str, now: datetime) -> str:
    """Send the plot's warnings to a mail address too; return its id. One that was stopped begins anew."""
    row: dict[str, Any] = {
        "id": new_id(now),
        "plot_id": plot_id,
        "address": address,
        "stop_handle": secrets.token_urlsafe(12),
        "made_at": now,
        "stopped_at": None,
        "last_sent_at": None,
        "failing_since": None,
        "failures": 0,
        "words": None,
    }
    there = select(MailTargetRow.id, MailTargetRow.stopped_at).where(
        MailTargetRow.plot_id == plot_id, MailTargetRow.address == address
    )
    with writing() as connection:
        found = connection.execute(there).one_or_none()
        if found is None:
            try:
                with connection.begin_nested():
                    connection.execute(insert(MailTargetRow), [row])
                return str(row["id"])
            except IntegrityError:  # somebody else added it at this very moment
                found = connection.execute(there).one()
        if found.stopped_at is not None:
            again = {
                name: row[name] for name in ("stop_handle", "made_at", "stopped_at", "failures", "words")
            }
            connection.execute(update(MailTargetRow).where(MailTargetRow.id == found.id).values(**again))
        return str(found.id)


def remove_address(plot_id: str, target_id: str) -> None:
    """Take an address off the list.

    Raises
    ------
    NotHere
    """
    statement = delete(MailTargetRow).where(MailTargetRow.id == target_id, MailTargetRow.plot_id == plot_id)
    with writing() as connection:
        if not connection.execute(statement).rowcount:
            raise NotHere("There is no such mail address here.")


def address_of_stop(stop_handle: str) -> str | None:
    """Return the mail address that the stop link with this handle is about, or None when there is none."""
    statement = select(MailTargetRow.address).where(MailTargetRow.stop_handle == stop_handle)
    with reading() as connection:
        return connection.execute(statement).scalar_one_or_none()


def stop_address(stop_handle: str, now: datetime) -> str | None:
    """Send no more mail to the address of this handle; return the address. Safe to repeat."""
    stopping = (
        update(MailTargetRow)
        .where(MailTargetRow.stop_handle == stop_handle, MailTargetRow.stopped_at.is_(None))
        .values(stopped_at=now)
    )
    with writing() as connection:
        connection.execute(stopping)
    return address_of_stop(stop_handle)


def standings(plot_id: str) -> list[Standing]:
    """Say how each of the plot's phones and addresses does, oldest first."""
    phones = (
        select(PushTargetRow, DeviceRow.name)
        .join(DeviceRow, DeviceRow.id == PushTargetRow.device_id)
        .where(PushTargetRow.plot_id == plot_id, DeviceRow.revoked_at.is_(None))
    )
    addresses = select(MailTargetRow).where(MailTargetRow.plot_id == plot_id)
    with reading() as connection:
        found = [_phone_standing(row) for row in connection.execute(phones)]
        found += [_mail_standing(row) for row in connection.execute(addresses)]
    return sorted(found, key=lambda one: (one.made_at, one.id))


def _phone_standing(row: Any) -> Standing:
    return _standing(row, PUSH, row.device_id, row.name, "dead" if row.endpoint is None else _pulse(row))


def _mail_standing(row: Any) -> Standing:
    return _standing(
        row, EMAIL, row.id, row.address, "stopped" if row.stopped_at is not None else _pulse(row)
    )


def _pulse(row: Any) -> str:
    if row.failures == 0:
        return "ok"
    return "dead" if row.failures >= DEAD_AFTER else "failing"


def _standing(row: Any, channel: str, id_: str, label: str, state: str) -> Standing:
    times = (aware(row.made_at), known(row.last_sent_at), known(row.failing_since))
    return Standing(channel, id_, label, state, *times, row.words)
