"""The outbox: leasing what is due for one target as one message, and writing down what became of it.

Nobody can send exactly once over a network. So a message that may have arrived keeps its identity (`parcel`),
and its repeat carries the same one, by which phones and mail programs show it once.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final, Protocol

from sqlalchemy import ColumnElement, Connection, and_, or_, select, update

from underboard.store.among import among
from underboard.store.database import reading, writing
from underboard.store.reach import address_of, aware, note_outcome
from underboard.store.tables import DeliveryRow, RecordRow, SyncClock

LEASE: Final = timedelta(minutes=3)
BACKOFF_MINUTES: Final = (1, 2, 5, 10, 20, 40, 60)
OVER: Final = "It was over before it could be sent."


@dataclass(frozen=True, kw_only=True, slots=True)
class Parcel:
    """One message to one target: what its sender leased.

    `items` are the warnings' bodies as they stand now, each with `id`, `rev` and `stage`.
    """

    id: str
    plot_id: str
    plot_name: str | None
    time_zone: str | None
    channel: str
    target_id: str
    address: Mapping[str, str]
    items: Sequence[Mapping[str, Any]]
    not_after: datetime
    attempts: int
    delivery_ids: Sequence[str]
    fence: int


class Answer(Protocol):
    """What became of a message; `notify.port.Outcome` is one."""

    @property
    def kind(self) -> str: ...
    @property
    def words(self) -> str: ...
    @property
    def retry_after(self) -> float | None: ...
    @property
    def maybe_sent(self) -> bool: ...


def lease_due(now: datetime, served: frozenset[tuple[str, str]] = frozenset()) -> Parcel | None:
    """Lease what is due for one target, as one message; None when nothing is.

    Parameters
    ----------
    served
        (channel, target id) that had a message in this turn already: one message a turn.
    """
    with reading() as connection:
        due = connection.execute(
            select(DeliveryRow.plot_id, DeliveryRow.channel, DeliveryRow.target_id)
            .where(_is_due(now))
            .order_by(DeliveryRow.next_try_at, DeliveryRow.id)
        ).all()
        over = connection.scalars(select(DeliveryRow.plot_id).where(*_is_over(now)).distinct()).all()
    for plot_id in over:
        with _locking(plot_id) as connection:
            expiring = update(DeliveryRow).where(DeliveryRow.plot_id == plot_id, *_is_over(now))
            connection.execute(expiring.values(state="expired", settled_at=now, words=OVER))
    for plot_id, channel, target_id in dict.fromkeys((row[0], row[1], row[2]) for row in due):
        if (channel, target_id) not in served:
            with _locking(plot_id) as connection:
                parcel = _lease(connection, plot_id, channel, target_id, now)
            if parcel is not None:
                return parcel
    return None


def settle(parcel: Parcel, outcome: Answer, now: datetime) -> bool:
    """Write down what became of a message; False when the lease had been lost and nothing was written."""
    mine = (
        DeliveryRow.fence == parcel.fence,
        DeliveryRow.state == "leased",
        DeliveryRow.parcel == parcel.id,
    )
    with _locking(parcel.plot_id) as connection:
        statement = update(DeliveryRow).where(among(DeliveryRow.id, parcel.delivery_ids), *mine)
        changed = connection.execute(statement.values(**_verdict(parcel, outcome, now))).rowcount
        if not changed:
            return False
        note_outcome(connection, parcel.channel, parcel.target_id, outcome.kind, outcome.words, now)
    return True


def _verdict(parcel: Parcel, outcome: Answer, now: datetime) -> dict[str, Any]:
    if outcome.kind == "ok":
        return {"state": "sent", "settled_at": now, "words": None}
    if outcome.kind != "retry":
        return {"state": "dead", "settled_at": now, "words": outcome.words}
    wait = timedelta(minutes=BACKOFF_MINUTES[min(parcel.attempts, len(BACKOFF_MINUTES) - 1)])
    asked = timedelta(seconds=min(outcome.retry_after or 0.0, 86_400.0))
    again: dict[str, Any] = {
        "state": "pending",
        "attempts": DeliveryRow.attempts + 1,
        "next_try_at": now + max(wait, asked),
        "words": outcome.words,
    }
    # What surely did not arrive may be joined by newer warnings; what may have must stay the same message.
    return again if outcome.maybe_sent else {**again, "parcel": None}


def waiting_since(now: datetime) -> datetime | None:
    """Return since when the oldest message that is due has not been tried; None when nothing is due."""
    oldest = select(DeliveryRow.next_try_at).where(_is_due(now)).order_by(DeliveryRow.next_try_at).limit(1)
    with reading() as connection:
        found = connection.execute(oldest).scalar_one_or_none()
    return aware(found) if found is not None else None


@contextmanager
def _locking(plot_id: str) -> Iterator[Connection]:
    """Open a transaction on a plot's deliveries; senders on PostgreSQL take turns by the plot's row."""
    with writing() as connection:
        connection.execute(select(SyncClock.plot_id).where(SyncClock.plot_id == plot_id).with_for_update())
        yield connection


def _is_over(now: datetime) -> tuple[ColumnElement[bool], ColumnElement[bool]]:
    lost = and_(DeliveryRow.state == "leased", DeliveryRow.lease_until <= now)
    return or_(DeliveryRow.state == "pending", lost), DeliveryRow.not_after <= now


def _is_due(now: datetime) -> ColumnElement[bool]:
    ready = and_(DeliveryRow.state == "pending", DeliveryRow.next_try_at <= now)
    lost = and_(DeliveryRow.state == "leased", DeliveryRow.lease_until <= now)
    return and_(or_(ready, lost), DeliveryRow.not_after > now)


def _lease(
    connection: Connection, plot_id: str, channel: str, target_id: str, now: datetime
) -> Parcel | None:
    rows: Sequence[Any] = connection.execute(
        select(DeliveryRow)
        .where(
            DeliveryRow.plot_id == plot_id,
            DeliveryRow.channel == channel,
            DeliveryRow.target_id == target_id,
            DeliveryRow.state.in_(("pending", "leased")),  # by the index, past everything ever sent
            _is_due(now),
        )
        .order_by(DeliveryRow.made_at, DeliveryRow.id)
    ).all()
    repeated = next((row.parcel for row in rows if row.parcel is not None), None)
    address = address_of(connection, plot_id, channel, target_id)
    if address is None:
        _close(connection, rows, "dead", "Nothing can be sent there any more.", now)
        return None
    rows = [row for row in rows if row.parcel == repeated]
    bodies = _standing_warnings(connection, plot_id, [row.warning_id for row in rows])
    _close(connection, [row for row in rows if row.warning_id not in bodies], "expired", OVER, now)
    rows = [row for row in rows if row.warning_id in bodies]
    if not rows:
        return None
    ids = sorted(row.id for row in rows)
    parcel = repeated or hashlib.sha256("/".join(ids).encode()).hexdigest()[:32]
    fence = max(row.fence for row in rows) + 1
    connection.execute(
        update(DeliveryRow)
        .where(among(DeliveryRow.id, ids))
        .values(state="leased", parcel=parcel, fence=fence, lease_until=now + LEASE)
    )
    return _parcel(connection, rows, bodies, address, parcel, fence)


def _parcel(
    connection: Connection,
    rows: Sequence[Any],
    bodies: Mapping[str, Mapping[str, Any]],
    address: Mapping[str, str],
    parcel: str,
    fence: int,
) -> Parcel:
    plot_id, channel, target_id = rows[0].plot_id, rows[0].channel, rows[0].target_id
    plot = _plot_body(connection, plot_id)
    # "worse" comes after "raised" in the order of planning: a warning that is both is told once, as worse.
    items = {row.warning_id: {**bodies[row.warning_id], "stage": row.stage} for row in rows}
    return Parcel(
        id=parcel,
        plot_id=plot_id,
        plot_name=plot.get("name"),
        time_zone=plot.get("time_zone"),
        channel=channel,
        target_id=target_id,
        address=address,
        items=list(items.values()),
        not_after=max(aware(row.not_after) for row in rows),
        attempts=max(row.attempts for row in rows),
        delivery_ids=sorted(row.id for row in rows),
        fence=fence,
    )


def _close(connection: Connection, rows: Iterable[Any], state: str, words: str, now: datetime) -> None:
    ids = [row.id for row in rows]
    if ids:
        closing = update(DeliveryRow).where(among(DeliveryRow.id, ids))
        connection.execute(closing.values(state=state, settled_at=now, words=words))


def _standing_warnings(connection: Connection, plot_id: str, ids: Sequence[str]) -> dict[str, dict[str, Any]]:
    """Return the warnings that still hold, as they stand now, by id."""
    statement = select(RecordRow.id, RecordRow.rev, RecordRow.body).where(
        RecordRow.plot_id == plot_id, among(RecordRow.id, ids), RecordRow.deleted.is_(False)
    )
    found = {
        row.id: {**json.loads(row.body), "id": row.id, "rev": row.rev}
        for row in connection.execute(statement)
    }
    return {id_: body for id_, body in found.items() if not body.get("ended_at")}


def _plot_body(connection: Connection, plot_id: str) -> dict[str, Any]:
    statement = select(RecordRow.body).where(
        RecordRow.plot_id == plot_id, RecordRow.type == "plot", RecordRow.deleted.is_(False)
    )
    body = connection.scalars(statement.order_by(RecordRow.id).limit(1)).one_or_none()
    return dict(json.loads(body)) if body else {}
