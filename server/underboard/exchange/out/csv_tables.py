"""Tables as CSV (RFC 4180), one row a record, in UTF-8 with the mark by which spreadsheets know it."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from underboard.core.records import RECORD_TYPES
from underboard.exchange.columns import Cell, columns_of, shown
from underboard.exchange.holding import Holding
from underboard.exchange.out.observations import Observation, observations

MARK: Final = "\ufeff"
#: Left out of tables: the plot's own record tells its exact place, members and photos are not observations.
NOT_TABLES: Final = frozenset({"plot"})


def csv_text(heads: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return a CSV file; text that a spreadsheet would run as a formula is made text."""
    out = io.StringIO(newline="")
    out.write(MARK)
    writer = csv.writer(out)
    writer.writerow(heads)
    writer.writerows([shown(cell) for cell in row] for row in rows)
    return out.getvalue()


def table_names(holding: Holding) -> list[str]:
    """Return the record types that the plot has and that have a table."""
    return [name for name in RECORD_TYPES if name not in NOT_TABLES and holding.of(name)]


def type_csv(holding: Holding, type_name: str) -> str:
    """Return all records of a type, in the order of when they were seen."""
    columns = columns_of(type_name)
    rows = ([column.cell(holding, record) for column in columns] for record in holding.seen(type_name))
    return csv_text([column.head for column in columns], rows)


OBSERVATION_HEADS: Final = (
    "record_id", "seen at", "what", "place", "station", "state", "value", "unit", "value as entered",
    "unit as entered", "round valid", "disputed", "observer", "note",
)  # fmt: skip


def observations_csv(holding: Holding) -> str:
    """Return every number that was seen, one row each, whatever it is of."""
    return csv_text(OBSERVATION_HEADS, map(list, _rows(observations(holding))))


def _rows(found: Iterable[Observation]) -> Iterator[tuple[Cell, ...]]:
    for one in found:
        yield (
            one.record_id, one.seen_at, one.property.words, one.place, one.station, one.state, one.value,
            one.property.unit_shown, one.entered_value, one.entered_unit,
            "yes" if one.valid else "no", "yes" if one.disputed else "no", one.observer, one.note,
        )  # fmt: skip
