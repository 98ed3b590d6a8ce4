"""Pull: a plot's records in the order of their numbers, a page at a time, from where a phone was last."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import bindparam, select

from underboard.core.errors import CursorExpired, UnknownPlot
from underboard.core.sync.envelope import SCHEMA
from underboard.store.cursor import Cursor, read_cursor, write_cursor
from underboard.store.database import reading
from underboard.store.gathering import WIRE, wire_texts
from underboard.store.prepared import Prepared
from underboard.store.sync_store import CLOCK
from underboard.store.tables import RecordRow

AT_ONCE = 1_000
"""Records that are held at a time by who reads all of them."""


@dataclass(frozen=True, slots=True)
class PullAnswer:
    """A page of records in the order of `seq`, and where to go on."""

    epoch: str
    texts: list[str]
    """Each record as the JSON text that goes over the wire."""
    cursor: str
    more: bool
    last_seq: int
    schema: int = SCHEMA
    unchanged: bool = False
    """Who asked has this state already, so nothing was read."""

    @property
    def tag(self) -> str:
        """What names this state of the plot."""
        return _tag(self.epoch, self.last_seq)

    @property
    def records(self) -> list[dict[str, Any]]:
        """The same records, taken apart."""
        return [json.loads(text) for text in self.texts]


def pull(
    plot_id: str,
    cursor: str | None,
    limit: int,
    *,
    deletions: bool = False,
    has: Callable[[str], bool] | None = None,
) -> PullAnswer:
    """Give the next page of a plot.

    Parameters
    ----------
    deletions
        Send old deletions from the start too: for a phone that still holds records of the time before a
        restore, and would else keep those that were deleted. A phone that holds nothing is spared them.
    has
        Says whether who asks has the state of this tag already.

    Raises
    ------
    CursorForged, CursorAhead, CursorOfOtherPlot, CursorExpired, EpochChanged, UnknownPlot
    """
    with reading() as connection:
        clock = CLOCK.first(connection, plot=plot_id)
        if clock is None:
            raise UnknownPlot(plot_id)
        epoch, last, forgotten_to = clock
        if has is not None and has(_tag(epoch, last)):
            return PullAnswer(epoch, [], cursor or "", False, last, unchanged=True)
        if cursor is None:
            # Number 1 makes a record, so "skip deletions up to 1" skips none.
            at = Cursor(epoch, plot_id, 0, min(last, 1) if deletions else last)
        else:
            at = read_cursor(cursor, plot_id, epoch, last)
            if at.until == 0 and at.seq < forgotten_to:
                raise CursorExpired
        rows = _PAGE.ask(connection, plot=plot_id, seq=at.seq, until=at.until, n=limit + 1)
        more = len(rows) > limit
        rows = rows[:limit]
        texts = wire_texts(connection, rows)
    # Skipped deletions at the end of a first sync count as given out, so the next pull starts behind them.
    newest = rows[-1][_SEQ] if rows else at.seq
    seq = newest if more else max(at.until, newest)
    until = at.until if more else 0
    return PullAnswer(epoch, texts, write_cursor(Cursor(epoch, plot_id, seq, until)), more, last)


def _tag(epoch: str, seq: int) -> str:
    return f"{epoch}.{seq}"


_SEQ = [column.key for column in WIRE].index("seq")
_PAGE = Prepared(
    select(*WIRE)
    .where(RecordRow.plot_id == bindparam("plot"), RecordRow.seq > bindparam("seq"))
    .where(
        (RecordRow.deleted.is_(False)) | (RecordRow.seq > bindparam("until")) | (RecordRow.open_conflicts > 0)
    )
    .order_by(RecordRow.seq)
    .limit(bindparam("n"))
)


def records_of(plot_id: str, types: Iterable[str]) -> list[dict[str, Any]]:
    """Return all living records of some types, in wire form, in the order of `seq`."""
    return list(each_of(plot_id, types))


def each_of(plot_id: str, types: Iterable[str]) -> Iterator[dict[str, Any]]:
    """The same one after the other, for who must not hold ten years at once. The reading ends with the loop."""
    wanted = list(types)
    statement = (
        select(*WIRE)
        .where(RecordRow.plot_id == plot_id, RecordRow.type.in_(wanted), RecordRow.deleted.is_(False))
        .order_by(RecordRow.seq)
    )
    with reading() as connection:
        found = connection.execute(statement.execution_options(yield_per=AT_ONCE))
        for rows in found.partitions():
            yield from map(json.loads, wire_texts(connection, rows))
