"""What a restore must not undo: who was put out stays out, who was let in since stays in, who said stop is left alone.

Also photos: they lie on their shelf under their hash, and phones that sent one do not keep it for ever.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from sqlalchemy import Connection, MetaData, Table, delete, insert, select, update

from underboard.core.errors import PhotoFault
from underboard.store.blobs import examine
from underboard.store.shelves import Shelf, place_of
from underboard.store.tables import BlobRow, CalendarFeedRow, DeviceRow, MailTargetRow, SyncClock

Row = dict[str, Any]


@dataclass(frozen=True)
class Carried:
    """How much was taken over from what lay there before."""

    devices: int = 0
    put_out: int = 0


@dataclass(frozen=True)
class Doors:
    """Who gets in and who is written to, as it stood in a database."""

    plots: frozenset[str] = frozenset()
    devices: tuple[Row, ...] = ()
    mails_stopped: tuple[Row, ...] = ()
    feeds: tuple[Row, ...] | None = None
    """None where the database is from before there were calendar feeds."""


def read_doors(old: Connection) -> Doors:
    """Read them from a database of any step."""
    there = MetaData()
    there.reflect(bind=old)
    tables = there.tables
    if "sync_clock" not in tables:
        return Doors()
    return Doors(
        plots=frozenset(old.scalars(select(tables["sync_clock"].c.plot_id))),
        devices=tuple(_rows(old, tables["device"])),
        mails_stopped=tuple(
            row
            for row in (_rows(old, tables["mail_target"]) if "mail_target" in tables else ())
            if row["stopped_at"]
        ),
        feeds=tuple(_rows(old, tables["calendar_feed"])) if "calendar_feed" in tables else None,
    )


def carry_doors(doors: Doors, new: Connection) -> Carried:
    """Take them over, for the plots that both databases know."""
    plots = doors.plots & set(new.scalars(select(SyncClock.plot_id)))
    carried = _devices([row for row in doors.devices if row["plot_id"] in plots], new)
    for row in doors.mails_stopped:
        same = (MailTargetRow.plot_id == row["plot_id"], MailTargetRow.address == row["address"])
        still = update(MailTargetRow).where(*same, MailTargetRow.stopped_at.is_(None))
        new.execute(still.values(stopped_at=row["stopped_at"]))
    if doors.feeds is not None:
        new.execute(delete(CalendarFeedRow).where(CalendarFeedRow.plot_id.in_(sorted(plots))))
        feeds = [row for row in doors.feeds if row["plot_id"] in plots]
        if feeds:
            new.execute(insert(CalendarFeedRow), feeds)
    return carried


def _devices(rows: Iterable[Row], new: Connection) -> Carried:
    known = {row.id: row for row in new.execute(select(DeviceRow.id, DeviceRow.revoked_at))}
    devices = put_out = 0
    for row in rows:
        mine = known.get(row["id"])
        if mine is None:
            new.execute(insert(DeviceRow).values(**row))
            devices += 1
        elif row["revoked_at"] is not None and mine.revoked_at is None:
            out = update(DeviceRow).where(DeviceRow.id == row["id"])
            new.execute(out.values(revoked_at=row["revoked_at"]))
            put_out += 1
    return Carried(devices, put_out)


def _rows(old: Connection, table: Table) -> Iterator[Row]:
    for row in old.execute(select(table)).mappings():
        yield {name: _utc(value) for name, value in row.items()}


def _utc(value: Any) -> Any:
    if not isinstance(value, datetime):
        return value
    return value.astimezone(UTC) if value.tzinfo else value.replace(tzinfo=UTC)


def photos_to_carry(shelf: Shelf, unpacked: Path, new: Connection, now: datetime) -> list[str]:
    """Find whole photos on the shelf that a backup does not hold, and see that the new database knows them.

    Parameters
    ----------
    unpacked
        Where those of the backup were unpacked.

    Returns
    -------
    list of str
        Their places below a shelf's root.
    """
    plots = set(new.scalars(select(SyncClock.plot_id)))
    known = {tuple(row) for row in new.execute(select(BlobRow.plot_id, BlobRow.sha256))}
    found = []
    for plot, sha256, size in shelf.sizes():
        if plot not in plots or (unpacked / place_of(plot, sha256)).is_file():
            continue
        with shelf.open(plot, sha256) as stream:
            if hashlib.file_digest(stream, "sha256").hexdigest() != sha256:  # type: ignore[arg-type]
                continue
            stream.seek(0)
            if (plot, sha256) in known or _note(stream, (plot, sha256), size, new, now):
                found.append(place_of(plot, sha256))
    return found


def _note(stream: IO[bytes], name: tuple[str, str], size: int, new: Connection, now: datetime) -> bool:
    try:
        mime, width, height = examine(stream)
    except PhotoFault:
        return False
    row = {"plot_id": name[0], "sha256": name[1], "bytes": size, "mime": mime}
    new.execute(
        insert(BlobRow).values(**row, width=width, height=height, device_id="restore", created_at=now)
    )
    return True
