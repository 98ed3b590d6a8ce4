"""A plot's records as a whole, for what leaves and what comes in from elsewhere."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select

from underboard.core.sync.terms import Op, Result
from underboard.store.among import among
from underboard.store.database import reading
from underboard.store.gathering import WIRE, wire_texts
from underboard.store.sync_store import clock_of, server_write
from underboard.store.tables import RecordRow

BATCH = 500


@dataclass(frozen=True, slots=True)
class Kept:
    """What the plot has under an id, a removed record included."""

    type: str
    rev: int
    deleted: bool
    body: dict[str, Any]


def living(plot_id: str) -> list[dict[str, Any]]:
    """Return all records of the plot that were not removed, in wire form, in the order of `seq`.

    Raises
    ------
    UnknownPlot
    """
    clock_of(plot_id)
    statement = (
        select(*WIRE)
        .where(RecordRow.plot_id == plot_id, RecordRow.deleted.is_(False))
        .order_by(RecordRow.seq)
    )
    with reading() as connection:
        texts = wire_texts(connection, connection.execute(statement).all())
    return [json.loads(text) for text in texts]


def kept(plot_id: str, ids: Iterable[str]) -> dict[str, Kept]:
    """Return what the plot has under these ids."""
    wanted = list(dict.fromkeys(ids))
    columns = (RecordRow.id, RecordRow.type, RecordRow.rev, RecordRow.deleted, RecordRow.body)
    statement = select(*columns).where(among(RecordRow.id, wanted), RecordRow.plot_id == plot_id)
    with reading() as connection:
        rows = connection.execute(statement).all() if wanted else []
    return {row.id: Kept(row.type, row.rev, row.deleted, json.loads(row.body)) for row in rows}


def write_ops(plot_id: str, device_id: str, ops: Sequence[Op], now: datetime) -> list[Result]:
    """Write operations in the size of a phone's push, so that phones are never kept waiting long."""
    results: list[Result] = []
    for start in range(0, len(ops), BATCH):
        results += server_write(plot_id, device_id, ops[start : start + BATCH], now)
    return results


def imported(plot_id: str) -> list[dict[str, Any]]:
    """Return the living records that an import brought, in wire form."""
    statement = (
        select(*WIRE)
        .where(RecordRow.plot_id == plot_id, RecordRow.deleted.is_(False))
        .where(RecordRow.body.contains('"import_id":"', autoescape=True))
        .order_by(RecordRow.seq)
    )
    with reading() as connection:
        texts = wire_texts(connection, connection.execute(statement).all())
    found = [json.loads(text) for text in texts]
    # Words in a note may look like it too.
    return [record for record in found if record["body"].get("import_id")]
