"""A file from its bytes to what would be taken in: the one way for the preview and for the real thing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from underboard.exchange.holding import Holding
from underboard.exchange.incoming import Look, Refusal, Sorted, sort_out
from underboard.exchange.sheets.guessing import TYPES, Plan, corrected, first_rows, guess, targets_of
from underboard.exchange.sheets.own_rows import read_own_rows
from underboard.exchange.sheets.rows import USUAL, USUAL_TIME, read_rows
from underboard.exchange.sheets.table import Table, read_table

SHOWN: Final = 200
"""Refusals told one by one; of more only the number is."""


@dataclass(frozen=True)
class Preview:
    """What a file would bring. Nothing is written."""

    table: Table
    plan: Plan
    found: Sorted
    blank: int

    def as_json(self) -> dict[str, Any]:
        """Return it as people are shown it before they say yes."""
        samples = [{"type": one.type, "row": one.row, "set": dict(one.set)} for one in self.found.new[:5]]
        return {
            **self.plan.as_json(self.table.heads),
            "own": self.plan.own,
            "choices": [] if self.plan.own else targets_of(self.plan.type),
            "types": list(TYPES),
            "rows": len(self.table.rows),
            "first_rows": first_rows(self.table),
            "would_take": self.found.counts(),
            "here_already": len(self.found.same),
            "blank": self.blank,
            "refused": len(self.found.refused),
            "refusals": refusals_json(self.found.refused),
            "samples": samples,
            "words": self.words(),
        }

    def words(self) -> str:
        """Return what a person should know before saying yes."""
        plan = self.plan
        parts = [_counted(self.found.counts()) or "Nothing new would be taken in."]
        if self.found.same:
            parts.append(f"{len(self.found.same)} are here already.")
        if self.found.refused:
            n = len(self.found.refused)
            parts.append(
                "1 is refused, with its reason." if n == 1 else f"{n} are refused, each with its reason."
            )
        if self.blank:
            parts.append(
                f"{self.blank} {'row or cell says' if self.blank == 1 else 'rows or cells say'} nothing."
            )
        if plan.order_open:
            parts.append(
                "No date in this file tells whether the day or the month comes first; it was read day first. "
                "Correct that if it is wrong."
            )
        if not plan.own and "time" not in plan.columns and "observed_at" not in plan.columns:
            usual = USUAL.get(plan.type, USUAL_TIME)
            parts.append(f"Where no time is given, {usual:%H:%M} on the plot's clock is written.")
        return " ".join(parts)


def preview(data: bytes, wishes: Mapping[str, Any], holding: Holding, look: Look) -> Preview:
    """Read a file, guess its columns, correct them as wished, and sort out what it would bring.

    Raises
    ------
    InputFault
        The file can't be read, or a wish names what there is not.
    """
    table = read_table(data)
    plan = corrected(guess(table, holding), table, wishes)
    read = read_own_rows(table, plan) if plan.own else read_rows(table, plan, holding)
    found = sort_out(read.coming, look)
    if not plan.own:  # a round that no count of the file is taken into is not walked
        walked = {one.set.get("round_id") for one in found.new}
        found.new = [one for one in found.new if one.type != "round" or one.id in walked]
    found.refused[:0] = read.refused
    found.refused.sort(key=lambda one: one.row)
    return Preview(table, plan, found, read.blank)


def refusals_json(refused: list[Refusal] | tuple[Refusal, ...]) -> list[dict[str, Any]]:
    return [{"row": one.row, "field": one.field, "why": one.why} for one in refused[:SHOWN]]


def _counted(counts: Mapping[str, int]) -> str:
    told = ", ".join(f"{n} × {name.replace('_', ' ')}" for name, n in sorted(Counter(counts).items()))
    return f"{told} would be taken in." if told else ""
