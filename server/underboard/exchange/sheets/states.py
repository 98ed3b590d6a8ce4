"""The state of a board or trap, from what a row says: counted, none found, not turned, spoiled."""

from __future__ import annotations

from typing import Any

from underboard.exchange.sheets import cells
from underboard.exchange.sheets.cells import Unreadable, text_of
from underboard.exchange.sheets.table import Cell


def with_state(type_name: str, made: dict[str, Any]) -> dict[str, Any]:
    """Settle the state of a board or trap from what stands in its number and its state."""
    name = {"slug_count": "count", "trap_catch": "wireworms"}.get(type_name)
    if name is None:
        return made
    state, number = _state_of(made.pop("state", None)), made.pop(name, None)
    said = None if number is None else _state_of(number)
    value = None if number is None or said is not None else cells.whole_of(number)
    if value is not None and value < 0:
        raise Unreadable(f"{value} is below zero.")
    found = state or said or (None if value is None else "counted" if value else "none_found")
    if found is None:
        found = "counted" if type_name == "trap_catch" else None
    if found is None:
        raise Unreadable("There is neither a number nor a state.")
    if found == "none_found" and value:
        raise Unreadable(f"It says none found, and {value}.")
    if found == "counted" and value is None and type_name == "slug_count":
        raise Unreadable("It says counted, and no number.")
    if found == "counted" and value == 0:
        found = "none_found"
    made["state"] = found
    if value and found == "counted":
        made[name] = value
    return made


def _state_of(cell: Cell) -> str | None:
    if cell is None or isinstance(cell, float):
        return None
    text = text_of(cell).strip().casefold()
    if text in ("counted", "gezählt"):
        return "counted"
    for state, words in (
        ("none_found", cells.NONE_FOUND), ("not_turned", cells.NOT_TURNED), ("spoiled", cells.SPOILED),
    ):  # fmt: skip
        if text in words:
            return state
    return None
