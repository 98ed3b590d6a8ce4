"""Rows of one of our own tables back to records, field by field: the way back of `columns`."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from underboard.core.records import RECORD_TYPES, Field
from underboard.exchange.incoming import Coming, Refusal
from underboard.exchange.safe_cells import unguarded
from underboard.exchange.sheets import cells
from underboard.exchange.sheets.cells import Unreadable, is_blank, text_of
from underboard.exchange.sheets.guessing import Plan
from underboard.exchange.sheets.rows import Read
from underboard.exchange.sheets.table import Cell, Table

_NEVER = frozenset({"import_id", "photos"})
"""An import gets an id of its own; photos travel in bundles."""


def read_own_rows(table: Table, plan: Plan) -> Read:
    """Read every row of an own table. Photos do not travel in tables."""
    found = Read()
    for offset, row in enumerate(table.rows):
        number = table.first_row + offset
        if all(is_blank(cell) for cell in row):
            found.blank += 1
            continue
        parts: dict[str, dict[str, Cell]] = {}
        for target, cell in zip(plan.columns, row, strict=True):
            name, _, part = target.partition("@")
            if target and not is_blank_own(cell):
                parts.setdefault(name, {})[part] = cell
        try:
            found.coming.append(_record(plan.type, parts, number))
        except Unreadable as fault:
            found.refused.append(Refusal(number, str(fault)))
    return found


def is_blank_own(cell: Cell) -> bool:
    """Blanks that somebody typed are kept; only nothing is nothing."""
    return cell is None or cell == ""


def _record(type_name: str, parts: Mapping[str, Mapping[str, Cell]], number: int) -> Coming:
    body: dict[str, Any] = {}
    for field in RECORD_TYPES[type_name].fields.values():
        if field.name in parts and field.name not in _NEVER:
            value = _field(field, parts[field.name])
            if value is not None:
                body[field.name] = value
    if type_name == "slug_count" and body.get("state") == "none_found":
        body.pop("count", None)
    body |= _json(parts.get("extra", {}).get("json"), "other fields") or {}
    record_id = text_of(parts.get("id", {}).get("id")).strip()
    if not record_id:
        raise Unreadable("It has no record_id.")
    return Coming(type_name, record_id, body, number)


def _field(field: Field, parts: Mapping[str, Cell]) -> Any:
    try:
        return _read(field, parts)
    except Unreadable as fault:
        raise Unreadable(f"{field.name}: {fault}") from fault


def _read(field: Field, parts: Mapping[str, Cell]) -> Any:
    kind = field.kind
    if kind == "ref":
        return text_of(parts["id"]).strip() if "id" in parts else None
    if kind == "refs":
        return text_of(parts["ids"]).split() if "ids" in parts else None
    if kind == "quantity":
        if "entered" in parts:
            return cells.quantity_of(parts["entered"], field.units[0])
        if "celsius" in parts:
            return {"value": cells.tidy(cells.number_of(parts["celsius"])), "unit": "degC"}
        if "value" in parts:
            number = cells.tidy(cells.number_of(parts["value"]))
            return {"value": number, "unit": text_of(parts.get("unit")).strip()}
        return None
    (cell,) = parts.values()
    if kind == "whole":
        return cells.whole_of(cell)
    if kind == "number":
        return cells.tidy(cells.number_of(cell))
    if kind == "yes_no":
        return cells.yes_no_of(cell)
    if kind == "choices":
        return [one for one in text_of(cell).split("; ") if one]
    if kind in ("outline", "numbers", "settings", "taxa"):
        return _json(cell, field.name)
    # An instant goes back letter by letter; a spreadsheet may have made a date of it.
    return unguarded(cell) if isinstance(cell, str) else text_of(cell)


def _json(cell: Cell, name: str) -> Any:
    if cell is None:
        return None
    try:
        return json.loads(text_of(cell))
    except (ValueError, RecursionError) as fault:
        raise Unreadable(f"{name}: that is no JSON as it was written.") from fault
