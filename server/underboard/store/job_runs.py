"""Who runs what: a row in the database is the claim, and its fence is checked by everything a run writes.

No lock decides who runs. Whoever inserts the row of (job, plot, slot) runs it; when its lease is over somebody
else may take it, which raises the fence, and from then on the first runner can write nothing.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import ColumnElement, Connection, and_, delete, func, or_, select, update
from sqlalchemy.dialects import postgresql, sqlite

from underboard.core.errors import FenceLost
from underboard.store.among import among
from underboard.store.database import reading, writing
from underboard.store.tables import JobRunRow

KEEP_RUNS = timedelta(days=3)
RUNNING, DONE, FAILED, PASSED_OVER = "running", "done", "failed", "passed over"


@dataclass(frozen=True, slots=True)
class Claim:
    """The right to run one slot of a job for one plot, as long as `fence` is the row's."""

    job: str
    plot_id: str
    slot: datetime
    fence: int
    attempt: int
    lease_until: datetime


@dataclass(frozen=True, slots=True)
class Run:
    """What became of a run."""

    plot_id: str
    slot: datetime
    state: str
    attempt: int
    finished_at: datetime | None
    fault: str | None


def claim(job: str, plot_id: str, slot: datetime, now: datetime, lease: timedelta) -> Claim | None:
    """Take a slot that nobody has, or one whose runner has not come back in time; None when there is none.

    Parameters
    ----------
    slot, now
        Aware; kept as UTC.
    lease
        How long the run may take before somebody else may take it.
    """
    slot, now = slot.astimezone(UTC), now.astimezone(UTC)
    row = {
        "job": job, "plot_id": plot_id, "slot": slot, "state": RUNNING, "lease_until": now + lease, "fence": 1,
        "attempt": 1, "started_at": now, "finished_at": None, "fault": None,
    }  # fmt: skip
    with writing() as connection:
        if _insert_unless_there(connection, row):
            return Claim(job, plot_id, slot, 1, 1, now + lease)
        stolen = connection.execute(
            update(JobRunRow)
            .where(_is(job, plot_id, slot), JobRunRow.state == RUNNING, JobRunRow.lease_until <= now)
            .values(
                fence=JobRunRow.fence + 1,
                attempt=JobRunRow.attempt + 1,
                lease_until=now + lease,
                started_at=now,
            )
            .returning(JobRunRow.fence, JobRunRow.attempt)
        ).one_or_none()
    if stolen is None:
        return None
    return Claim(job, plot_id, slot, stolen.fence, stolen.attempt, now + lease)


def _insert_unless_there(connection: Connection, row: dict[str, Any]) -> bool:
    # Both databases understand the same words; only SQLAlchemy keeps them apart.
    insert = sqlite.insert if connection.dialect.name == "sqlite" else postgresql.insert
    statement = insert(JobRunRow).values(row).on_conflict_do_nothing().returning(JobRunRow.fence)
    return connection.execute(statement).one_or_none() is not None


def finish(connection: Connection, held: Claim, now: datetime) -> None:
    """Mark a run as done inside the transaction of its effects, right after the counter row.

    The conditional update is the check of the fence and locks the row until the commit: whoever comes to steal
    waits, and then finds it done. Older runs of the plot that never came back are passed over.

    Raises
    ------
    FenceLost
        Somebody else has the run now: roll everything back.
    """
    now = now.astimezone(UTC)
    done = connection.execute(
        update(JobRunRow)
        .where(_is(held.job, held.plot_id, held.slot))
        .where(JobRunRow.fence == held.fence, JobRunRow.state == RUNNING)
        .values(state=DONE, finished_at=now, fault=None)
    )
    if done.rowcount != 1:
        raise FenceLost(held.plot_id, held.slot)
    connection.execute(
        update(JobRunRow)
        .where(JobRunRow.job == held.job, JobRunRow.plot_id == held.plot_id, JobRunRow.slot < held.slot)
        .where(JobRunRow.state == RUNNING)
        .values(state=PASSED_OVER, fence=JobRunRow.fence + 1, finished_at=now)
    )


def give_up(held: Claim, now: datetime, fault: str) -> None:
    """Note that a run failed; the slot is not tried again, the next one is. Says nothing if it was robbed."""
    with writing() as connection:
        connection.execute(
            update(JobRunRow)
            .where(_is(held.job, held.plot_id, held.slot))
            .where(JobRunRow.fence == held.fence, JobRunRow.state == RUNNING)
            .values(state=FAILED, finished_at=now.astimezone(UTC), fault=fault[:500])
        )


def is_running(job: str, plot_id: str, now: datetime) -> bool:
    """Say whether somebody is at a run of the plot and still has time for it."""
    statement = select(JobRunRow.slot).where(
        JobRunRow.job == job,
        JobRunRow.plot_id == plot_id,
        JobRunRow.state == RUNNING,
        JobRunRow.lease_until > now.astimezone(UTC),
    )
    with reading() as connection:
        return connection.execute(statement.limit(1)).one_or_none() is not None


def last_done(job: str, plot_ids: Iterable[str], now: datetime) -> dict[str, datetime]:
    """Return the newest slot up to now that was run to its end, by plot; plots without one are left out.

    Slots later than now, run while the clock was wrong, do not count: else a clock that had been a year ahead
    would stop the job for a year.
    """
    statement = (
        select(JobRunRow.plot_id, func.max(JobRunRow.slot).label("slot"))
        .where(JobRunRow.job == job, JobRunRow.state == DONE, JobRunRow.slot <= now.astimezone(UTC))
        .group_by(JobRunRow.plot_id)
    )
    with reading() as connection:
        wanted = statement.where(among(JobRunRow.plot_id, plot_ids))
        return {row.plot_id: _aware(row.slot) for row in connection.execute(wanted)}


def runs(job: str, plot_id: str, limit: int = 20) -> list[Run]:
    """Return the newest runs of a plot, newest first."""
    statement = (
        select(JobRunRow)
        .where(JobRunRow.job == job, JobRunRow.plot_id == plot_id)
        .order_by(JobRunRow.slot.desc())
        .limit(limit)
    )
    with reading() as connection:
        return [
            Run(
                row.plot_id,
                _aware(row.slot),
                row.state,
                row.attempt,
                _aware(row.finished_at) if row.finished_at else None,
                row.fault,
            )
            for row in connection.execute(statement)
        ]


def prune(now: datetime, keep: timedelta = KEEP_RUNS) -> int:
    """Forget runs that are over for longer than `keep`, and those of a time that has not come; return how many.

    The latter are from a clock that was ahead: their slots must be free when their time really comes.
    """
    now = now.astimezone(UTC)
    over = or_(JobRunRow.slot < now - keep, JobRunRow.slot > now + timedelta(days=1))
    with writing() as connection:
        return connection.execute(delete(JobRunRow).where(over)).rowcount


def _is(job: str, plot_id: str, slot: datetime) -> ColumnElement[bool]:
    return and_(JobRunRow.job == job, JobRunRow.plot_id == plot_id, JobRunRow.slot == slot)


def _aware(moment: datetime) -> datetime:
    """SQLite gives times back without their zone; all of ours are UTC."""
    return moment if moment.tzinfo is not None else moment.replace(tzinfo=UTC)
