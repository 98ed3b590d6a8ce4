"""Rows of a table to records: dates on the plot's clock, boards by their names, the four states kept apart.

A row that can't be taken is refused with its reason; a blank cell says nothing and makes no record; a dash could
mean none or not looked at, so it is asked about and never guessed.
"""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from typing import Any, Final

from underboard.core.records import RECORD_TYPES
from underboard.core.warnings.timing import moment_of, zone_of
from underboard.exchange.holding import Holding
from underboard.exchange.incoming import Coming, Refusal
from underboard.exchange.sheets import cells
from underboard.exchange.sheets.cells import Unreadable, is_blank, text_of
from underboard.exchange.sheets.guessing import STATIONS_OF, WIDE, Plan
from underboard.exchange.sheets.states import with_state
from underboard.exchange.sheets.table import Cell, Table

#: Time of day of an observation whose file gives none: boards are turned at first light, other things later.
USUAL: Final[Mapping[str, time]] = {"slug_count": time(6)}
USUAL_TIME: Final = time(9)
_DASHES: Final = frozenset({"-", "–", "—", "?"})
_NEEDS_STATION: Final = frozenset(STATIONS_OF)


@dataclass
class Read:
    """What the rows gave. `blank` counts cells or rows that say nothing."""

    coming: list[Coming] = field(default_factory=list)
    refused: list[Refusal] = field(default_factory=list)
    blank: int = 0


def read_rows(table: Table, plan: Plan, holding: Holding) -> Read:
    """Read every row of a table that is not one of our own."""
    reader = _Reader(plan, holding)
    for offset, row in enumerate(table.rows):
        reader.row(table.first_row + offset, row)
    return Read([*reader.rounds(), *reader.coming], reader.refused, reader.blank)


class _Reader:
    """Reads row by row; knows the plot's stations, places and rounds."""

    def __init__(self, plan: Plan, holding: Holding) -> None:
        self.coming: list[Coming] = []
        self.refused: list[Refusal] = []
        self.blank = 0
        self._plan = plan
        self._holding = holding
        self._zone = zone_of(holding.plot.get("time_zone"))
        units = holding.plot.get("units") or {}
        self._unit = units.get("temperature") if isinstance(units, Mapping) else None
        self._stations = _by_label(holding, "station", STATIONS_OF.get(plan.type))
        self._places = _by_label(holding, "place", None)
        self._walks = self._known_walks()
        self._new_walks: dict[date, list[tuple[datetime, Coming]]] = {}
        self._seen: dict[str, int] = {}

    def row(self, number: int, row: tuple[Cell, ...]) -> None:
        if all(is_blank(cell) for cell in row):
            self.blank += 1
            return
        try:
            shared = self._shared(row)
            wide = [place for place, target in enumerate(self._plan.columns) if target.startswith("station:")]
            for place in wide:
                if is_blank(row[place]):
                    self.blank += 1
                    continue
                label = self._plan.columns[place].removeprefix("station:")
                self._guarded(number, row, shared, {WIDE[self._plan.type]: place}, label)
            if not wide:
                named = {target: n for n, target in enumerate(self._plan.columns) if target}
                self._guarded(number, row, shared, named, "")
        except Unreadable as fault:
            self.refused.append(Refusal(number, str(fault)))

    def _guarded(
        self, number: int, row: tuple[Cell, ...], shared: dict[str, Any], named: Mapping[str, int], label: str
    ) -> None:
        try:
            made = self._record(row, dict(shared), named, label)
        except Unreadable as fault:
            self.refused.append(Refusal(number, f"{label}: {fault}" if label else str(fault)))
            return
        if made is None:
            self.blank += 1
            return
        one = Coming(self._plan.type, self._id(made), made, number)
        if one.id in self._seen:
            self.refused.append(
                Refusal(number, f"The same thing at the same time stands in row {self._seen[one.id]}.")
            )
            return
        self._seen[one.id] = number
        self.coming.append(self._with_walk(one))

    def _shared(self, row: tuple[Cell, ...]) -> dict[str, Any]:
        """What all records of a row have: when, who, which place."""
        at = self._moment(row)
        shared: dict[str, Any] = {"observed_at": at.isoformat(timespec="seconds")}
        for name in ("observer", "note"):
            cell = self._cell(row, name)
            if not is_blank(cell):
                shared[name] = text_of(cell).strip()
        place = self._cell(row, "place")
        if not is_blank(place):
            shared["place_id"] = self._found("place", self._places, text_of(place).strip(), None)
        return shared

    def _cell(self, row: tuple[Cell, ...], target: str) -> Cell:
        return row[self._plan.columns.index(target)] if target in self._plan.columns else None

    def _moment(self, row: tuple[Cell, ...]) -> datetime:
        order = self._plan.day_first
        whole, day, clock = (self._cell(row, name) for name in ("observed_at", "date", "time"))
        if not is_blank(whole):
            found = cells.moment_parts(whole, day_first=order)
        elif not is_blank(day):
            found = cells.moment_parts(day, day_first=order)
        else:
            raise Unreadable("There is no date.")
        if isinstance(found, datetime):
            return found
        at = found[1] if is_blank(clock) else cells.time_of(clock)
        return self._local(found[0], at or USUAL.get(self._plan.type, USUAL_TIME))

    def _local(self, day: date, at: time) -> datetime:
        return moment_of(day, at, self._zone).astimezone(self._zone)

    def _record(
        self, row: tuple[Cell, ...], made: dict[str, Any], named: Mapping[str, int], label: str
    ) -> dict[str, Any] | None:
        told = False
        for name, place in named.items():
            cell = row[place]
            if name in ("date", "time", "observed_at", "station", "place", "observer", "note") or is_blank(
                cell
            ):
                continue
            if isinstance(cell, str) and cell.strip() in _DASHES:
                raise Unreadable(f'"{cell.strip()}" is open: write 0 for none found, x for could not look.')
            made[name] = self._value(name, cell, place)
            told = True
        if self._plan.type == "note":
            made.setdefault("text", made.pop("note", ""))
            told = bool(made["text"])
        if not told:
            return None
        if self._plan.type in _NEEDS_STATION:
            made["station_id"] = self._station(row, label, made.pop("place_id", None))
        return with_state(self._plan.type, made)

    def _station(self, row: tuple[Cell, ...], label: str, place_id: str | None) -> str:
        cell = self._cell(row, "station")
        said = label or ("" if is_blank(cell) else text_of(cell).strip()) or self._plan.station
        if not said:
            raise Unreadable(
                "It does not say which station: choose a column, or one station for the whole file."
            )
        return self._found("station", self._stations, said, place_id)

    def _found(self, what: str, known: Mapping[str, list[str]], said: str, place_id: str | None) -> str:
        ids = known.get(said.casefold(), [])
        if place_id is not None and len(ids) > 1:
            ids = [one for one in ids if self._holding.body(one).get("place_id") == place_id]
        if not ids:
            raise Unreadable(
                f'There is no {what} "{said[:60]}" on this plot: set it up first, or correct the name.'
            )
        if len(ids) > 1:
            raise Unreadable(f'"{said[:60]}" is the name of {len(ids)} {what}s: say in which place.')
        return ids[0]

    def _value(self, name: str, cell: Cell, place: int) -> Any:
        spec = RECORD_TYPES[self._plan.type].fields.get(name)
        if spec is None:
            raise Unreadable(f'"{name}" is nothing that a {self._plan.type} has.')
        if name in ("count", "wireworms", "state"):
            return text_of(cell).strip() if not isinstance(cell, float) else cell  # see `_with_state`
        if spec.kind == "quantity":
            return cells.quantity_of(cell, self._plan.units.get(place) or self._unit or spec.units[0])
        if spec.kind == "whole":
            return cells.whole_of(cell)
        if spec.kind == "number":
            return cells.number_of(cell)
        if spec.kind == "yes_no":
            return cells.yes_no_of(cell)
        if spec.kind == "instant":
            found = cells.moment_parts(cell, day_first=self._plan.day_first)
            if not isinstance(found, datetime):
                found = self._local(found[0], found[1] or USUAL_TIME)
            return found.isoformat(timespec="seconds")
        if spec.kind == "day":
            return cells.date_of(cell, day_first=self._plan.day_first).isoformat()
        return text_of(cell).strip()

    def _id(self, made: Mapping[str, Any]) -> str:
        """Follow from what it is about: the same file again makes the same records.

        A reading of a thermometer gets the id that `POST …/readings` gives it, so that both ways make one record.
        """
        moment = datetime.fromisoformat(made["observed_at"]).timestamp()
        plot_id = self._holding.plot_id
        if self._plan.type == "temperature":
            return str(uuid.uuid5(uuid.NAMESPACE_URL, f"{plot_id}/{made['station_id']}/{moment}"))
        about = made.get("station_id") or made.get("place_id") or ""
        words = made.get("text", "") if self._plan.type == "note" else made.get("observer", "")
        return str(uuid.uuid5(uuid.UUID(plot_id), f"import/{self._plan.type}/{about}/{moment}/{words}"))

    def _known_walks(self) -> dict[date, str]:
        walks: dict[date, str] = {}
        for walk in self._holding.seen("round"):
            if walk["body"].get("kind") == "dawn" and walk["body"].get("observed_at"):
                at = datetime.fromisoformat(str(walk["body"]["observed_at"]))
                walks.setdefault(at.astimezone(self._zone).date(), walk["id"])
        return walks

    def _with_walk(self, one: Coming) -> Coming:
        if one.type != "slug_count":
            return one
        at = datetime.fromisoformat(one.set["observed_at"])
        day = at.astimezone(self._zone).date()
        walk_id = self._walks.get(day) or str(
            uuid.uuid5(uuid.UUID(self._holding.plot_id), f"import/round/dawn/{day}")
        )
        made = Coming(one.type, one.id, {**one.set, "round_id": walk_id}, one.row)
        if day not in self._walks:
            self._new_walks.setdefault(day, []).append((at, made))
        return made

    def rounds(self) -> list[Coming]:
        """The dawn rounds that the plot does not have yet, one a day."""
        made = []
        for counts in self._new_walks.values():
            first, last = min(at for at, _ in counts), max(at for at, _ in counts)
            begin = first.isoformat(timespec="seconds")
            set_ = {
                "kind": "dawn",
                "observed_at": begin,
                "started_at": begin,
                "finished_at": last.isoformat(timespec="seconds"),
            }
            made.append(Coming("round", counts[0][1].set["round_id"], set_, counts[0][1].row))
        return made


def _by_label(holding: Holding, type_name: str, kinds: tuple[str, ...] | None) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for one in holding.of(type_name):
        if kinds is None or one["body"].get("kind") in kinds:
            found.setdefault(str(one["body"].get("label") or "").strip().casefold(), []).append(one["id"])
    return found


def moment_now(holding: Holding, now: datetime) -> str:
    """Return now on the plot's clock, as notes are signed."""
    return (
        now.astimezone(UTC).astimezone(zone_of(holding.plot.get("time_zone"))).isoformat(timespec="seconds")
    )
