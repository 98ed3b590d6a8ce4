"""Which column is what: guessed from the heads and the first rows, and corrected by people."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final

from underboard.core.errors import InputFault
from underboard.core.records import RECORD_TYPES
from underboard.exchange.columns import columns_of
from underboard.exchange.holding import Holding
from underboard.exchange.sheets.cells import UNITS, is_blank, parts_of
from underboard.exchange.sheets.table import Table

#: Kinds of station whose name may stand in a column, by record type.
STATIONS_OF: Final[Mapping[str, tuple[str, ...]]] = {
    "slug_count": ("slug_board",),
    "trap_catch": ("bait_trap", "beetle_trap"),
    "temperature": ("thermometer", "grass_minimum"),
}
#: What a cell of a column that is a station's holds.
WIDE: Final[Mapping[str, str]] = {"slug_count": "count", "trap_catch": "wireworms", "temperature": "current"}
#: Record types that a file from elsewhere may hold. Own tables may be of any type.
TYPES: Final = ("slug_count", "trap_catch", "temperature", "evening", "soil_sample", "damage", "note")
ANYWHERE: Final = ("date", "time", "observed_at", "station", "place", "observer", "note")

_WORDS: Final[Mapping[str, str]] = {
    "date": "date|day|datum|tag|when",
    "time": "time|uhrzeit|zeit|hour|clock",
    "observed_at": "timestamp|time stamp|datetime|date time|date/time|date and time|observed at|seen at|zeitpunkt|"
    "zeitstempel",
    "station": "station|board|board no|trap|trap no|thermometer|sensor|brett|falle|label|device|probe|logger",
    "place": "place|bed|beet|where|location|ort|standort",
    "observer": "observer|by|who|person|beobachter|counted by|gezählt von",
    "note": "note|notes|remark|remarks|comment|comments|bemerkung|notiz|notizen",
    "count": "count|slugs|number|total|anzahl|schnecken|nacktschnecken|slugs found|slug count",
    "state": "state|status|zustand",
    "egg_clusters": "eggs|egg clusters|eier|gelege",
    "wireworms": "wireworms|wireworm|drahtwürmer|drahtwurm",
    "millipedes": "millipedes|millipede|tausendfüßer",
    "leatherjackets": "leatherjackets|leatherjacket|schnakenlarven",
    "centipedes": "centipedes|centipede|hundertfüßer",
    "set_at": "set|laid|set on|laid on|set at|gesetzt",
    "soil": "soil|soil temperature|soil temp|bodentemperatur",
    "min": "min|minimum|low|lowest|tmin|min temp|overnight min|night low|tiefstwert",
    "max": "max|maximum|high|highest|tmax|max temp|höchstwert",
    "current": "temp|temperature|current|now|reading|value|t|temperatur",
    "humidity_percent": "humidity|rh|relative humidity|humidity percent|luftfeuchte",
    "air": "air|dry bulb|air temperature|luft",
    "wet": "wet|wet bulb|feuchtkugel",
    "dew": "dew|dew point|taupunkt",
    "cores": "cores|kerne",
    "found": "found|gefunden",
    "examined": "examined|looked at|untersucht",
    "damaged": "damaged|beschädigt",
    "text": "text|words",
}
_SYNONYMS: Final = {word: target for target, words in _WORDS.items() for word in words.split("|")}
_UNIT: Final = re.compile(r"[\[(]\s*([^\])]*?)\s*[\])]")


@dataclass(frozen=True)
class Plan:
    """How a table is to be read.

    `columns` says for each column its target: a field of the record type, `date`, `time`, `station`, `place`, a part
    of an own column (`min@entered`), `station:LABEL` for a column that is a station's, or nothing. `units` holds
    the unit of temperatures by column.
    """

    type: str
    columns: tuple[str, ...]
    units: Mapping[int, str] = field(default_factory=dict)
    day_first: bool = True
    order_open: bool = False
    station: str = ""
    own: bool = False

    def as_json(self, heads: Iterable[str]) -> dict[str, Any]:
        """Return the plan as people correct it: head and target, column by column."""
        columns = [
            {"head": head, "is": target, **({"unit": self.units[place]} if place in self.units else {})}
            for place, (head, target) in enumerate(zip(heads, self.columns, strict=True))
        ]
        return {
            "type": self.type,
            "columns": columns,
            "day_first": self.day_first,
            "date_order_is_open": self.order_open,
            "station": self.station,
        }


def guess(table: Table, holding: Holding) -> Plan:
    """Guess the plan of a table, as far as heads and first rows tell."""
    own = _own_type(table.heads)
    if own is not None:
        by_head = {column.head: f"{column.field}@{column.part}" for column in columns_of(own)}
        return Plan(own, tuple(by_head.get(head, "") for head in table.heads), own=True)
    wide = _wide_type(table.heads, holding)
    plain = [_target(head) for head in table.heads]
    type_name = wide or _type_of([target for target, _ in plain])
    columns: list[str] = []
    units: dict[int, str] = {}
    stations = _labels(holding, STATIONS_OF.get(wide or "", ()))
    for place, (target, unit) in enumerate(plain):
        label = stations.get(table.heads[place].strip().casefold())
        if wide and label:
            target = f"station:{label}"
        elif target in columns or not _fits(type_name, target):
            target = ""
        if unit and target:
            units[place] = unit
        columns.append(target)
    return with_order(Plan(type_name, tuple(columns), units), table)


def corrected(plan: Plan, table: Table, wishes: Mapping[str, Any]) -> Plan:
    """Return the plan with what a person said otherwise.

    `wishes` may hold `type`, `columns` ({head or number from 1: target}), `day_first`, `station`, `unit`.

    Raises
    ------
    InputFault
        It names a column or a target that there is not.
    """
    if wishes.get("type"):
        type_name = str(wishes["type"])
        if type_name not in RECORD_TYPES or RECORD_TYPES[type_name].server_written or type_name == "plot":
            raise InputFault("/type", f"A file can hold one of: {', '.join(TYPES)}.")
        kept = tuple(target if _fits(type_name, target.split("@")[0]) else "" for target in plan.columns)
        plan = replace(plan, type=type_name, columns=plan.columns if plan.own else kept)
    columns, units = list(plan.columns), dict(plan.units)
    for name, wanted in dict(wishes.get("columns") or {}).items():
        place = _column(table.heads, str(name))
        target, _, unit = str(wanted or "").strip().partition("@")
        if not plan.own and target and not target.startswith("station:") and not _fits(plan.type, target):
            raise InputFault(
                "/columns", f'"{target}" is nothing that a {plan.type} has; it has: {_names(plan.type)}.'
            )
        columns[place] = target if not plan.own else str(wanted)
        if unit:
            units[place] = UNITS.get(unit.lower(), unit)
    if wishes.get("unit"):
        if (known := UNITS.get(str(wishes["unit"]).lower())) is None:
            raise InputFault("/unit", "Temperatures are in degC or degF.")
        units = {place: known for place in range(len(columns))}
    plan = with_order(replace(plan, columns=tuple(columns), units=units), table)
    if wishes.get("day_first") is not None:
        plan = replace(plan, day_first=bool(wishes["day_first"]), order_open=False)
    return replace(plan, station=str(wishes.get("station") or plan.station))


def with_order(plan: Plan, table: Table) -> Plan:
    """Find out whether the day or the month comes first; open when no row tells."""
    places = [
        place for place, target in enumerate(plan.columns) if target in ("date", "observed_at", "set_at")
    ]
    pairs = [pair for place in places for row in table.rows if (pair := parts_of(row[place])) is not None]
    day_first = any(first > 12 for first, _ in pairs)
    month_first = any(second > 12 for _, second in pairs)
    return replace(
        plan, day_first=not month_first, order_open=bool(pairs) and not day_first and not month_first
    )


def _own_type(heads: tuple[str, ...]) -> str | None:
    if "record_id" not in heads:
        return None
    best = max(RECORD_TYPES, key=lambda name: len({one.head for one in columns_of(name)} & set(heads)))
    known = {one.head for one in columns_of(best)}
    return best if len(known & set(heads)) >= 0.8 * len(heads) and best != "plot" else None


def _wide_type(heads: tuple[str, ...], holding: Holding) -> str | None:
    """A table with a column for each station, as in many notebooks."""
    said = {head.strip().casefold() for head in heads}
    counts = {name: len(said & _labels(holding, kinds).keys()) for name, kinds in STATIONS_OF.items()}
    best = max(counts, key=lambda name: counts[name])
    return best if counts[best] >= 2 else None


def _labels(holding: Holding, kinds: tuple[str, ...]) -> dict[str, str]:
    bodies = [one["body"] for one in holding.of("station") if one["body"].get("kind") in kinds]
    return {str(body["label"]).strip().casefold(): str(body["label"]) for body in bodies}


def _target(head: str) -> tuple[str, str]:
    found = _UNIT.search(head)
    unit = UNITS.get(found[1].lower().replace(" ", ""), "") if found else ""
    plain = _UNIT.sub("", head).replace("_", " ").strip(" .:").casefold()
    words = plain.split()
    if not unit and words and words[-1] in UNITS and len(words) > 1:
        unit, plain = UNITS[words[-1]], " ".join(words[:-1])
    return _SYNONYMS.get(plain, plain.replace(" ", "_")), unit


def _type_of(targets: list[str]) -> str:
    said = set(targets)
    for name, signs in (
        ("trap_catch", {"wireworms", "millipedes", "leatherjackets"}),
        ("evening", {"wet", "dew", "air"}),
        ("soil_sample", {"cores"}),
        ("damage", {"damaged"}),
        ("slug_count", {"count", "egg_clusters"}),
        ("temperature", {"min", "max", "current", "humidity_percent"}),
    ):
        if said & signs:
            return name
    return "note" if said & {"text", "note"} else "slug_count"


def _fits(type_name: str, target: str) -> bool:
    if not target:
        return True
    return target in RECORD_TYPES[type_name].fields or target in ANYWHERE or target == "record_id"


def _names(type_name: str) -> str:
    return ", ".join(targets_of(type_name))


def targets_of(type_name: str) -> list[str]:
    """Return what a column of a file of this type can be."""
    hidden = {
        "round_id", "station_id", "place_id", "import_id", "returned_from", "photos", "taxa", "stands", "set_aside",
    }  # fmt: skip
    fields = [name for name in RECORD_TYPES[type_name].fields if name not in hidden]
    return list(dict.fromkeys([*ANYWHERE, *fields]))


def _column(heads: tuple[str, ...], name: str) -> int:
    folded = [head.casefold() for head in heads]
    if name.casefold() in folded:
        return folded.index(name.casefold())
    if name.isascii() and name.isdigit() and 1 <= int(name) <= len(heads):
        return int(name) - 1
    raise InputFault("/columns", f'There is no column "{name[:60]}"; there are: {", ".join(heads)[:600]}.')


def first_rows(table: Table, most: int = 5) -> list[list[str]]:
    """Return the first rows as text, for people to look at."""
    return [["" if is_blank(cell) else str(cell)[:80] for cell in row] for row in table.rows[:most]]
