"""The tables. Nothing outside this package sees them: the store speaks records and plain dataclasses."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import (
    BigInteger,
    DateTime,
    ForeignKey,
    Index,
    LargeBinary,
    MetaData,
    Text,
    UniqueConstraint,
    text,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column, registry

_NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}


class Base(DeclarativeBase):
    """Our own base, handed to Flask-SQLAlchemy, so that models are typed."""

    registry = registry(
        metadata=MetaData(naming_convention=_NAMES),
        type_annotation_map={str: Text(), datetime: DateTime(timezone=True), bytes: LargeBinary()},
    )


class SyncClock(Base):
    """One row a plot: its epoch, and the counter that every writing transaction updates first."""

    __tablename__ = "sync_clock"
    __table_args__ = {"sqlite_with_rowid": False}  # noqa: RUF012
    plot_id: Mapped[str] = mapped_column(primary_key=True)
    epoch: Mapped[str]
    seq: Mapped[int] = mapped_column(BigInteger)
    gc_seq: Mapped[int] = mapped_column(BigInteger)
    """Deletions up to this number are no longer kept; an older cursor has expired."""


_MADE = text("made_op IS NOT NULL")


class RecordRow(Base):
    """The newest state of a record. `body` is JSON text as it goes over the wire."""

    __tablename__ = "record"
    id: Mapped[str] = mapped_column(primary_key=True)
    plot_id: Mapped[str] = mapped_column(ForeignKey("sync_clock.plot_id"))
    type: Mapped[str]
    rev: Mapped[int] = mapped_column(BigInteger)
    seq: Mapped[int] = mapped_column(BigInteger)
    deleted: Mapped[bool]
    body: Mapped[str]
    restored_rev: Mapped[int] = mapped_column(BigInteger)
    clock_suspect: Mapped[bool]
    open_conflicts: Mapped[int]
    made_op: Mapped[str | None]
    """The operation that made it, of which the row is change and ledger entry, too: for as long as nobody changes the
    record, they say nothing that is not here. The first change gives them rows of their own (`ChangeApart`,
    `OpResultApart`), and this becomes null. See `store/log_views.py`."""
    made_device: Mapped[str | None]
    made_at: Mapped[str | None]
    __table_args__ = (
        Index(None, "plot_id", "seq", unique=True),
        Index(None, "made_op", unique=True, sqlite_where=_MADE, postgresql_where=_MADE),
    )


class ChangeColumns:
    """What an entry of the change log says, wherever it lies."""

    record_id: Mapped[str] = mapped_column(primary_key=True)
    rev: Mapped[int] = mapped_column(BigInteger, primary_key=True, autoincrement=False)
    op_id: Mapped[str]
    device_id: Mapped[str]
    kind: Mapped[str]
    set: Mapped[str]
    prev: Mapped[str]
    at: Mapped[str]


class ChangeApart(ChangeColumns, Base):
    """The change log: every operation that touched a record, with what it replaced. Only appended to.

    Not yet in it: what made a record that nobody has changed since. `ChangeRow` has both.
    """

    __tablename__ = "change_apart"
    __table_args__ = {"sqlite_with_rowid": False}  # noqa: RUF012


class ConflictRow(Base):
    """An operation kept beside its record; open while `resolved_by` is null."""

    __tablename__ = "conflict"
    id: Mapped[str] = mapped_column(primary_key=True)
    record_id: Mapped[str] = mapped_column(index=True)
    device_id: Mapped[str]
    set: Mapped[str]
    why: Mapped[str]
    base_rev: Mapped[int] = mapped_column(BigInteger)
    resolved_by: Mapped[str | None]


class OpResultApart(Base):
    """The ledger of operations: what became of each, so that a repeat changes nothing. Kept for ever.

    Not yet in it: what made a record that nobody has changed since. `OpResultRow` has both.
    """

    __tablename__ = "op_result_apart"
    op_id: Mapped[str] = mapped_column(primary_key=True)
    plot_id: Mapped[str]
    device_id: Mapped[str]
    digest: Mapped[bytes]
    status: Mapped[str]
    rev: Mapped[int] = mapped_column(BigInteger)
    __table_args__ = {"sqlite_with_rowid": False}  # noqa: RUF012


class DeviceRow(Base):
    """A paired phone or logger. Only the hash of its token is kept."""

    __tablename__ = "device"
    id: Mapped[str] = mapped_column(primary_key=True)
    plot_id: Mapped[str] = mapped_column(ForeignKey("sync_clock.plot_id"), index=True)
    name: Mapped[str]
    role: Mapped[str]
    kind: Mapped[str]
    token_sha256: Mapped[str] = mapped_column(unique=True)
    created_at: Mapped[datetime]
    last_seen_at: Mapped[datetime | None]
    last_push_at: Mapped[datetime | None]
    revoked_at: Mapped[datetime | None]


class PairingCodeRow(Base):
    """A code that lets one device in, once. A null plot makes it a claim of a new plot."""

    __tablename__ = "pairing_code"
    code_sha256: Mapped[str] = mapped_column(primary_key=True)
    plot_id: Mapped[str | None]
    role: Mapped[str]
    typed: Mapped[bool]
    expires_at: Mapped[datetime]
    used_at: Mapped[datetime | None]
    wrong_tries: Mapped[int]


class BlobRow(Base):
    """A photo that is on the disk, known by the SHA-256 of its bytes, once a plot."""

    __tablename__ = "blob"
    plot_id: Mapped[str] = mapped_column(ForeignKey("sync_clock.plot_id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(primary_key=True)
    bytes: Mapped[int]
    mime: Mapped[str]
    width: Mapped[int]
    height: Mapped[int]
    device_id: Mapped[str]
    created_at: Mapped[datetime]


class BlobNameRow(Base):
    """Which record names a photo: without one the plot cannot read it."""

    __tablename__ = "blob_name"
    plot_id: Mapped[str] = mapped_column(primary_key=True)
    sha256: Mapped[str] = mapped_column(primary_key=True)
    record_id: Mapped[str] = mapped_column(primary_key=True)


class AuditRow(Base):
    """Who was let in and put out, and when."""

    __tablename__ = "audit"
    id: Mapped[int] = mapped_column(primary_key=True)
    at: Mapped[datetime]
    plot_id: Mapped[str | None] = mapped_column(index=True)
    what: Mapped[str]
    who: Mapped[str]
    detail: Mapped[str]


class JobRunRow(Base):
    """One run of a job for one plot and one slot of time. The row is the claim: who inserts it runs."""

    __tablename__ = "job_run"
    __table_args__ = {"sqlite_with_rowid": False}  # noqa: RUF012
    job: Mapped[str] = mapped_column(primary_key=True)
    plot_id: Mapped[str] = mapped_column(primary_key=True)
    slot: Mapped[datetime] = mapped_column(primary_key=True)
    state: Mapped[str]
    """running, done, failed, or passed over because a newer slot was run instead."""
    lease_until: Mapped[datetime]
    fence: Mapped[int]
    """Goes up with every theft; a runner that was robbed carries an old one and can write nothing."""
    attempt: Mapped[int]
    started_at: Mapped[datetime]
    finished_at: Mapped[datetime | None]
    fault: Mapped[str | None]


class SummaryRow(Base):
    """What was made of a plot's records up to a number, so that the next pass reads only newer ones."""

    __tablename__ = "summary"
    __table_args__ = {"sqlite_with_rowid": False}  # noqa: RUF012
    plot_id: Mapped[str] = mapped_column(ForeignKey("sync_clock.plot_id"), primary_key=True)
    name: Mapped[str] = mapped_column(primary_key=True)
    epoch: Mapped[str]
    seq: Mapped[int] = mapped_column(BigInteger)
    version: Mapped[int]
    """Goes up with every write; who read an older one may not replace it."""
    zone: Mapped[str]
    slot: Mapped[datetime | None]
    """The newest slot that was run to its end."""
    decided_at: Mapped[datetime]
    body: Mapped[str]


class DeliveryRow(Base):
    """One warning on its way to one target: the outbox of messages."""

    __tablename__ = "delivery"
    id: Mapped[str] = mapped_column(primary_key=True)
    """Made from warning, channel, target and stage, so that planning twice is planning once."""
    plot_id: Mapped[str] = mapped_column(ForeignKey("sync_clock.plot_id"))
    warning_id: Mapped[str]
    channel: Mapped[str]
    target_id: Mapped[str]
    stage: Mapped[str]
    state: Mapped[str]
    """pending, leased, sent, dead or expired."""
    made_at: Mapped[datetime]
    next_try_at: Mapped[datetime]
    not_after: Mapped[datetime]
    attempts: Mapped[int]
    parcel: Mapped[str | None]
    """The message it went out in. Stays while that message may have arrived, so that a repeat is the same one."""
    lease_until: Mapped[datetime | None]
    fence: Mapped[int]
    """Goes up with every lease; a sender that was too slow carries an old one and settles nothing."""
    settled_at: Mapped[datetime | None]
    words: Mapped[str | None]
    __table_args__ = (
        UniqueConstraint("warning_id", "channel", "target_id", "stage"),
        Index(None, "state", "next_try_at"),
        Index(None, "plot_id", "channel", "target_id", "state"),
    )


class PushTargetRow(Base):
    """Where a phone's browser takes notices; one a device. Without an endpoint it is dead."""

    __tablename__ = "push_target"
    device_id: Mapped[str] = mapped_column(ForeignKey("device.id"), primary_key=True)
    plot_id: Mapped[str] = mapped_column(ForeignKey("sync_clock.plot_id"), index=True)
    endpoint: Mapped[str | None] = mapped_column(unique=True)
    p256dh: Mapped[str]
    auth: Mapped[str]
    made_at: Mapped[datetime]
    last_sent_at: Mapped[datetime | None]
    failing_since: Mapped[datetime | None]
    failures: Mapped[int]
    words: Mapped[str | None]


class MailTargetRow(Base):
    """A mail address that gets a plot's warnings, until its reader says stop."""

    __tablename__ = "mail_target"
    id: Mapped[str] = mapped_column(primary_key=True)
    plot_id: Mapped[str] = mapped_column(ForeignKey("sync_clock.plot_id"))
    address: Mapped[str]
    stop_handle: Mapped[str] = mapped_column(unique=True)
    """By which a stop link finds the address; no secret, the link proves itself by a key (`notify/stop_links.py`)."""
    made_at: Mapped[datetime]
    stopped_at: Mapped[datetime | None]
    last_sent_at: Mapped[datetime | None]
    failing_since: Mapped[datetime | None]
    failures: Mapped[int]
    words: Mapped[str | None]
    __table_args__ = (UniqueConstraint("plot_id", "address"),)


class CalendarFeedRow(Base):
    """The secret address of a plot's calendar; only its hash is kept, and a new one replaces the old."""

    __tablename__ = "calendar_feed"
    plot_id: Mapped[str] = mapped_column(ForeignKey("sync_clock.plot_id"), primary_key=True)
    secret_sha256: Mapped[str] = mapped_column(unique=True)
    made_at: Mapped[datetime]
    last_read_at: Mapped[datetime | None]
