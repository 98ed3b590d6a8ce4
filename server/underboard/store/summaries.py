"""What was made of a plot's records so far, and the records that have changed since.

A summary carries the number up to which records went into it, so that the cost of the next pass follows what is
new and not the plot's history.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, and_, bindparam, insert, select, update

from underboard.core.errors import Overtaken, UnknownPlot
from underboard.store.database import reading
from underboard.store.gathering import WIRE, wire_texts
from underboard.store.tables import RecordRow, SummaryRow, SyncClock

PAGE = 2000


@dataclass(frozen=True, slots=True)
class Summary:
    """A summary as it is kept. `version` 0 means that there is none yet."""

    plot_id: str
    name: str
    epoch: str
    seq: int
    version: int
    zone: str
    slot: datetime | None
    decided_at: datetime | None
    body: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True)
class Standing:
    """How far a plot's records and its summary have come."""

    plot_id: str
    epoch: str
    seq: int
    summary_epoch: str | None
    summary_seq: int
    zone: str | None
    slot: datetime | None

    @property
    def has_news(self) -> bool:
        return self.summary_epoch != self.epoch or self.summary_seq < self.seq


@dataclass(frozen=True, slots=True)
class Reading:
    """A summary and the plot's state of the moment it was read."""

    epoch: str
    seq: int
    summary: Summary
    whole: bool
    """The summary cannot be carried on (none yet, a restore, forgotten deletions): read everything."""


def standings(name: str) -> list[Standing]:
    """Return every plot with its summary of this name, in the order of plot ids. One query."""
    columns = (
        SyncClock.plot_id, SyncClock.epoch, SyncClock.seq, SummaryRow.epoch.label("summary_epoch"),
        SummaryRow.seq.label("summary_seq"), SummaryRow.zone, SummaryRow.slot,
    )  # fmt: skip
    same = and_(SummaryRow.plot_id == SyncClock.plot_id, SummaryRow.name == name)
    statement = select(*columns).join(SummaryRow, same, isouter=True).order_by(SyncClock.plot_id)
    with reading() as connection:
        return [
            Standing(
                row.plot_id,
                row.epoch,
                row.seq,
                row.summary_epoch,
                row.summary_seq or 0,
                row.zone,
                _aware(row.slot),
            )
            for row in connection.execute(statement)
        ]


def read(plot_id: str, name: str, have: int = 0) -> Reading:
    """Return the summary and how far the plot's records have come.

    Parameters
    ----------
    have
        The version whose body the caller still has: then it is not read again, and `body` is None.

    Raises
    ------
    UnknownPlot
    """
    columns = (
        SyncClock.epoch.label("now_epoch"), SyncClock.seq.label("now_seq"), SyncClock.gc_seq, SummaryRow.epoch,
        SummaryRow.seq, SummaryRow.version, SummaryRow.zone, SummaryRow.slot, SummaryRow.decided_at,
    )  # fmt: skip
    same = and_(SummaryRow.plot_id == SyncClock.plot_id, SummaryRow.name == name)
    statement = select(*columns).join(SummaryRow, same, isouter=True).where(SyncClock.plot_id == plot_id)
    body = select(SummaryRow.body).where(SummaryRow.plot_id == plot_id, SummaryRow.name == name)
    with reading() as connection:
        row = connection.execute(statement).one_or_none()
        if row is None:
            raise UnknownPlot(plot_id)
        text = connection.scalar(body) if row.version is not None and row.version != have else None
    if row.version is None:
        none = Summary(plot_id, name, row.now_epoch, 0, 0, "UTC", None, None, None)
        return Reading(row.now_epoch, row.now_seq, none, True)
    summary = Summary(
        plot_id, name, row.epoch, row.seq, row.version, row.zone, _aware(row.slot), _aware(row.decided_at),
        json.loads(text) if text is not None else None,
    )  # fmt: skip
    # A deletion that was forgotten before it was read would leave its record in the summary for ever.
    whole = row.epoch != row.now_epoch or row.seq < row.gc_seq
    return Reading(row.now_epoch, row.now_seq, summary, whole)


def changed_since(plot_id: str, since: int, until: int, page: int = PAGE) -> Iterator[list[dict[str, Any]]]:
    """Give the records numbered above `since` and up to `until`, newest state, in pages.

    Deleted ones come too, without a body. The cost follows the number of such records: the index on the
    numbers is walked from `since` on.
    """
    at = since
    while True:
        with reading() as connection:
            rows = connection.execute(
                _CHANGED, {"plot": plot_id, "since": at, "until": until, "n": page}
            ).all()
            texts = wire_texts(connection, rows)
        if texts:
            yield [json.loads(text) for text in texts]
        if len(rows) < page:
            return
        at = rows[-1].seq


def record(plot_id: str, record_id: str) -> dict[str, Any] | None:
    """Return one living record of a plot in wire form, or None."""
    statement = select(*WIRE).where(
        RecordRow.id == record_id, RecordRow.plot_id == plot_id, RecordRow.deleted.is_(False)
    )
    with reading() as connection:
        texts = wire_texts(connection, connection.execute(statement).all())
    return json.loads(texts[0]) if texts else None


_CHANGED = (
    select(*WIRE)
    .where(RecordRow.plot_id == bindparam("plot"))
    .where(RecordRow.seq > bindparam("since"), RecordRow.seq <= bindparam("until"))
    .order_by(RecordRow.seq)
    .limit(bindparam("n"))
)


def write(
    connection: Connection,
    before: Summary,
    *,
    epoch: str,
    seq: int,
    zone: str,
    slot: datetime | None,
    now: datetime,
    body: Mapping[str, Any] | None,
) -> None:
    """Replace the summary that was read, unless somebody has replaced it since.

    Parameters
    ----------
    before
        As it was read; its version must still be the newest.
    slot
        The slot that was run; None leaves the one that is there.
    body
        None leaves the one that is there.

    Raises
    ------
    Overtaken
        Another run wrote first: roll everything back and read again.
    """
    fields: dict[str, Any] = {"epoch": epoch, "seq": seq, "zone": zone, "decided_at": now.astimezone(UTC)}
    if slot is not None:
        fields["slot"] = slot.astimezone(UTC)
    if body is not None:
        fields["body"] = json.dumps(body, ensure_ascii=False, separators=(",", ":"))
    if before.version == 0:
        # The counter row is locked by now, so no other first one can come in between.
        there = select(SummaryRow.version).where(_is(before))
        if connection.execute(there).one_or_none() is not None:
            raise Overtaken(before.plot_id)
        first = {"plot_id": before.plot_id, "name": before.name, "version": 1, "slot": None, "body": "{}"}
        connection.execute(insert(SummaryRow).values({**first, **fields}))
        return
    statement = update(SummaryRow).where(_is(before), SummaryRow.version == before.version)
    if connection.execute(statement.values(version=SummaryRow.version + 1, **fields)).rowcount != 1:
        raise Overtaken(before.plot_id)


def _is(summary: Summary) -> Any:
    return and_(SummaryRow.plot_id == summary.plot_id, SummaryRow.name == summary.name)


def _aware(moment: datetime | None) -> datetime | None:
    """SQLite gives times back without their zone; all of ours are UTC."""
    if moment is None or moment.tzinfo is not None:
        return moment
    return moment.replace(tzinfo=UTC)
