"""Plots, the codes that let devices in, and the devices. Every way in and out leaves an audit line."""

from __future__ import annotations

import hashlib
import secrets
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import Connection, bindparam, insert, select, update

from underboard.core.errors import (
    CodeExpired,
    CodeUnknown,
    CodeUsed,
    TooManyTries,
    UnknownDevice,
    UnknownPlot,
)
from underboard.store.audit import audit
from underboard.store.code_words import fresh_code, hash_of
from underboard.store.database import reading, writing
from underboard.store.prepared import Prepared
from underboard.store.tables import DeviceRow, PairingCodeRow, RecordRow, SyncClock

CODE_HOLDS = timedelta(minutes=10)
CLOCK_PLAY = timedelta(minutes=5)
"""A clock may be put back by so much without harm to a code that was just made."""
MAX_WRONG_TRIES = 5
ROLES = ("owner", "helper", "reader")


@dataclass(frozen=True, slots=True)
class PairingCode:
    """A code as it is shown, once; only its hash is stored."""

    code: str
    expires_at: datetime


@dataclass(frozen=True, slots=True)
class Paired:
    """A device that was just let in, with the token that it alone gets to see."""

    device_id: str
    plot_id: str
    role: str
    token: str
    claimed: bool


@dataclass(frozen=True, slots=True)
class Device:
    """A paired phone or logger."""

    id: str
    plot_id: str
    name: str
    role: str
    kind: str
    created_at: datetime
    last_seen_at: datetime | None
    last_push_at: datetime | None
    revoked_at: datetime | None


def new_id(at: datetime | None = None) -> str:
    """Return a UUIDv7 (RFC 9562): time first, so that it is kind to indexes; never used to order anything."""
    millis = int((at or datetime.now(UTC)).timestamp() * 1000) & ((1 << 48) - 1)
    value = (millis << 80) | (0x7 << 76) | (secrets.randbits(12) << 64) | (0b10 << 62) | secrets.randbits(62)
    return str(uuid.UUID(int=value))


def create_plot(plot_id: str | None = None) -> str:
    """Make an empty plot and return its id."""
    with writing() as connection:
        return _create_plot(connection, plot_id or new_id())


def _create_plot(connection: Connection, plot_id: str) -> str:
    row = {"plot_id": plot_id, "epoch": str(uuid.uuid4()), "seq": 0, "gc_seq": 0}
    connection.execute(insert(SyncClock), [row])
    return plot_id


def plots() -> list[str]:
    """Return the ids of all plots, oldest first."""
    with reading() as connection:
        return list(connection.scalars(select(SyncClock.plot_id).order_by(SyncClock.plot_id)))


def plot_bodies() -> dict[str, str]:
    """Return the JSON body of each plot's own record, by plot id; plots that have none yet are left out."""
    with reading() as connection:
        rows = connection.execute(select(RecordRow.plot_id, RecordRow.body).where(RecordRow.type == "plot"))
        return {row.plot_id: row.body for row in rows}


def new_code(plot_id: str | None, role: str, now: datetime, typed: bool = False) -> PairingCode:
    """Make a code that lets one device in within ten minutes.

    Parameters
    ----------
    plot_id
        Of which plot; None makes a claim: the device that uses it becomes the owner of a new plot.
    typed
        Short enough to type (8 letters, about 38 bits, guarded by `MAX_WRONG_TRIES`);
        else 128 bits for a QR code.
    """
    code = fresh_code(typed)
    expires_at = now + CODE_HOLDS
    with writing() as connection:
        if plot_id is not None and not _exists(connection, plot_id):
            raise UnknownPlot(plot_id)
        row = {
            "code_sha256": hash_of(code),
            "plot_id": plot_id,
            "role": role,
            "typed": typed,
            "expires_at": expires_at,
            "used_at": None,
            "wrong_tries": 0,
        }
        connection.execute(insert(PairingCodeRow), [row])
    return PairingCode(f"{code[:4]}-{code[4:]}" if typed else code, expires_at)


def _exists(connection: Connection, plot_id: str) -> bool:
    statement = select(SyncClock.plot_id).where(SyncClock.plot_id == plot_id)
    return connection.execute(statement).one_or_none() is not None


def _any_plot(connection: Connection) -> bool:
    return connection.execute(select(SyncClock.plot_id).limit(1)).one_or_none() is not None


def _burn_other_claims(connection: Connection, now: datetime) -> None:
    """Once a fresh server has its owner, claim codes printed before are worth nothing.

    Two claims with different codes at the same moment lock each other's row: one of them is turned away.
    """
    statement = update(PairingCodeRow).where(
        PairingCodeRow.plot_id.is_(None), PairingCodeRow.used_at.is_(None)
    )
    connection.execute(statement.values(used_at=now))


def use_code(code: str, device_name: str, kind: str, now: datetime) -> Paired:
    """Let a device in. Of several that use one code at the same time exactly one gets in.

    Raises
    ------
    CodeUnknown, CodeUsed, CodeExpired, TooManyTries
    """
    key = hash_of(code)
    with writing() as connection:
        # The conditional update is the lock: it finds the row unused for one transaction only.
        taken = connection.execute(
            update(PairingCodeRow)
            .where(
                PairingCodeRow.code_sha256 == key,
                PairingCodeRow.used_at.is_(None),
                PairingCodeRow.expires_at > now,
                # Made while the clock was far ahead: it would hold until that day comes.
                PairingCodeRow.expires_at <= now + CODE_HOLDS + CLOCK_PLAY,
                PairingCodeRow.wrong_tries < MAX_WRONG_TRIES,
            )
            .values(used_at=now)
            .returning(PairingCodeRow.plot_id, PairingCodeRow.role)
        ).one_or_none()
        if taken is not None:
            claim = taken.plot_id is None
            if claim and not _any_plot(connection):
                _burn_other_claims(connection, now)
            plot_id = _create_plot(connection, new_id(now)) if claim else taken.plot_id
            return _let_in(connection, plot_id, taken.role, device_name, kind, now, claim)
        refusal = _why_not(connection, key, now)
    raise refusal


def _let_in(
    connection: Connection, plot_id: str, role: str, name: str, kind: str, now: datetime, claim: bool
) -> Paired:
    token = secrets.token_urlsafe(32)
    device_id = new_id(now)
    row = {
        "id": device_id,
        "plot_id": plot_id,
        "name": name,
        "role": role,
        "kind": kind,
        "token_sha256": hashlib.sha256(token.encode()).hexdigest(),
        "created_at": now,
        "last_seen_at": now,
        "last_push_at": None,
        "revoked_at": None,
    }
    connection.execute(insert(DeviceRow), [row])
    audit(connection, now, plot_id, "claimed" if claim else "paired", name, f"{kind}, {role}")
    return Paired(device_id, plot_id, role, token, claim)


def _why_not(connection: Connection, key: str, now: datetime) -> Exception:
    found = connection.execute(select(PairingCodeRow).where(PairingCodeRow.code_sha256 == key)).one_or_none()
    if found is not None:
        if found.used_at is not None:
            return CodeUsed()
        expires_at = _aware(found.expires_at)
        return TooManyTries() if now < expires_at <= now + CODE_HOLDS + CLOCK_PLAY else CodeExpired()
    # A wrong guess counts against every short code that is open: it may have been meant for any of them.
    connection.execute(
        update(PairingCodeRow)
        .where(
            PairingCodeRow.typed.is_(True), PairingCodeRow.used_at.is_(None), PairingCodeRow.expires_at > now
        )
        .values(wrong_tries=PairingCodeRow.wrong_tries + 1)
    )
    return CodeUnknown()


def device_for(token_sha256: str) -> Device | None:
    """Return the device of a token's hash, unless it was revoked."""
    with reading() as connection:
        row = _OF_TOKEN.first(connection, token=token_sha256)
    return _device(*row) if row is not None else None


_DEVICE = (
    DeviceRow.id, DeviceRow.plot_id, DeviceRow.name, DeviceRow.role, DeviceRow.kind, DeviceRow.created_at,
    DeviceRow.last_seen_at, DeviceRow.last_push_at, DeviceRow.revoked_at,
)  # fmt: skip
_OF_TOKEN = Prepared(
    select(*_DEVICE).where(DeviceRow.token_sha256 == bindparam("token"), DeviceRow.revoked_at.is_(None))
)


def devices(plot_id: str) -> list[Device]:
    """Return the plot's devices that may come in, oldest first."""
    statement = (
        select(*_DEVICE)
        .where(DeviceRow.plot_id == plot_id, DeviceRow.revoked_at.is_(None))
        .order_by(DeviceRow.created_at, DeviceRow.id)
    )
    with reading() as connection:
        return [_device(*row) for row in connection.execute(statement)]


def revoke(plot_id: str, device_id: str, now: datetime, by: str) -> None:
    """Put a device out. Its records stay.

    Raises
    ------
    UnknownDevice
    """
    statement = (
        update(DeviceRow)
        .where(DeviceRow.id == device_id, DeviceRow.plot_id == plot_id, DeviceRow.revoked_at.is_(None))
        .values(revoked_at=now)
        .returning(DeviceRow.name)
    )
    with writing() as connection:
        name = connection.execute(statement).scalar_one_or_none()
        if name is None:
            raise UnknownDevice(device_id)
        audit(connection, now, plot_id, "revoked", by, name)


def touch(device_id: str, now: datetime) -> None:
    """Note that the device was here."""
    with writing() as connection:
        connection.execute(update(DeviceRow).where(DeviceRow.id == device_id).values(last_seen_at=now))


def add_device(plot_id: str, name: str, role: str, now: datetime, kind: str = "cookie") -> Paired:
    """Let a device in without a code, for the server's own commands."""
    with writing() as connection:
        return _let_in(connection, plot_id, role, name, kind, now, claim=False)


def _device(id_: str, plot_id: str, name: str, role: str, kind: str, *moments: Any) -> Device:
    created_at, last_seen_at, last_push_at, revoked_at = map(_aware, moments)
    return Device(id_, plot_id, name, role, kind, created_at, last_seen_at, last_push_at, revoked_at)


def _aware(moment: datetime | str | None) -> Any:
    """SQLite gives times back without their zone, and its driver as text; all of ours are UTC."""
    if moment is None:
        return None
    read = datetime.fromisoformat(moment) if isinstance(moment, str) else moment
    return read if read.tzinfo is not None else read.replace(tzinfo=UTC)
