"""Records of every type in which every text is an attack on whoever shows it, made from the record specs themselves."""

from __future__ import annotations

import hashlib
import itertools
import uuid
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from underboard.core.records import RECORD_TYPES
from underboard.core.records.spec import Field

# After the OWASP cheat sheets on cross-site scripting and CSV injection: one of each kind of place that text can break
# out of. Each is known by its mark wherever it is shown as the text that it is.
WORDS: Final = (
    "<img src=x onerror=hit()>",
    '"><svg onload=hit()>',
    "</script><script>hit()</script>",
    "javascript:hit()",
    "';hit();//",
    "{{constructor.constructor('hit()')()}}",
    '<iframe srcdoc="<script>parent.hit()</script>">',
    "<a href=javascript:hit() autofocus onfocus=hit()>",
    "<style>*{display:none}</style>",
    "\u202e</p><p onclick=hit()>",
    "=cmd|' /C hit'!A0",
)
# Texts that mean something to the program are what they must be; all others are words.
FIRST: Final = {("round", "valid"): True, ("round", "kind"): "dawn", ("slug_count", "state"): "counted",
                ("station", "kind"): "slug_board", ("place", "archived"): False, ("station", "retired_on"): None,
                ("crop", "ended_on"): None, ("slug_count", "set_aside"): False,
                ("watch", "rule"): "frost", ("watch", "on"): True, ("watch", "channels"): None,
                ("watch", "settings"): {}, ("watch", "quiet_from"): "22:00",
                ("watch", "quiet_to"): "06:00"}  # fmt: skip
ZONE: Final = "Europe/London"


def hostile_records(plot_id: str, now: datetime | None = None) -> list[dict[str, Any]]:
    """One record of each type that phones write; references lead to each other."""
    at = (now or datetime.now(UTC)) - timedelta(hours=2)
    types = [name for name, kind in RECORD_TYPES.items() if not kind.server_written]
    ids = {name: plot_id if name == "plot" else str(uuid.uuid4()) for name in types}
    words = itertools.cycle(WORDS)
    made = []
    for name in types:
        set_ = {}
        for field in RECORD_TYPES[name].fields.values():
            value = FIRST.get((name, field.name), _value(field, ids, at, words))
            if value is not None and field.name != "returned_from":
                set_[field.name] = value
        made.append({"type": name, "id": ids[name], "set": set_})
    return made


def _value(field: Field, ids: dict[str, str], at: datetime, words: Iterator[str]) -> Any:
    low = field.minimum if field.minimum is not None else 0
    values: dict[str, Any] = {
        "choice": field.choices[0] if field.choices else None,
        "choices": list(field.choices[:1]),
        "whole": int(max(low, min(2030, field.maximum if field.maximum is not None else 5, 5))),
        "number": max(low, 1.0),
        "yes_no": True,
        "instant": at.isoformat(timespec="seconds"),
        "day": at.date().isoformat(),
        "time_zone": ZONE,
        "ref": ids.get(field.target) or (str(uuid.uuid4()) if field.required else None),
        "refs": [ids[field.target]] if field.target in ids else [],
        "quantity": {"value": max(low, 1.0), "unit": field.units[0]} if field.units else None,
        "outline": [[0, 0], [2, 0], [2, 1]],
        "numbers": [1.0],
    }
    if field.kind == "text":
        if field.name == "sha256":
            return hashlib.sha256(b"hostile").hexdigest()
        return next(words)[: field.max_length]
    if field.kind == "taxa":
        return [{"name": next(words)[:120], "count": 1}]
    return values.get(field.kind)
