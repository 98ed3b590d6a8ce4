"""Observations as Parquet, for those who reckon with millions of rows; needs the extra `underboard[parquet]`."""

from __future__ import annotations

from datetime import UTC, datetime
from importlib import import_module
from typing import IO, Any

from underboard.core.errors import InputFault
from underboard.exchange.holding import Holding
from underboard.exchange.out.observations import observations

WANTED = "Parquet needs one package more on the server: pip install 'underboard[parquet]'."


def write_parquet(out: IO[bytes], holding: Holding) -> None:
    """Write every observation with its types: times in UTC, values as floats, null where there is none.

    Raises
    ------
    InputFault
        pyarrow is not installed.
    """
    try:
        arrow, parquet = import_module("pyarrow"), import_module("pyarrow.parquet")
    except ImportError as fault:
        raise InputFault("", WANTED) from fault
    found = list(observations(holding))
    text = arrow.string()
    columns: dict[str, tuple[Any, list[Any]]] = {
        "record_id": (text, [one.record_id for one in found]),
        "seen_at": (arrow.timestamp("us", tz="UTC"), [_utc(one.seen_at) for one in found]),
        "what": (text, [one.property.name for one in found]),
        "place": (text, [one.place for one in found]),
        "station": (text, [one.station for one in found]),
        "state": (text, [one.state for one in found]),
        "value": (arrow.float64(), [None if one.value is None else float(one.value) for one in found]),
        "unit": (text, [one.property.unit_shown for one in found]),
        "round_valid": (arrow.bool_(), [one.valid for one in found]),
        "disputed": (arrow.bool_(), [one.disputed for one in found]),
        "observer": (text, [one.observer for one in found]),
    }
    table = arrow.table({name: arrow.array(values, type=kind) for name, (kind, values) in columns.items()})
    parquet.write_table(table, out)


def _utc(instant: str) -> datetime | None:
    return datetime.fromisoformat(instant).astimezone(UTC) if instant else None
