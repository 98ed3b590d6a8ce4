"""Plots made up from the record specs themselves: every type, every field, hostile words, gaps, conflicts."""

from __future__ import annotations

import hashlib
import io
import random
import uuid
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any, Final

from PIL import Image

from tests.attacks.hostile import WORDS
from underboard.core.records import RECORD_TYPES, Field, check_set

TEXTS: Final = (
    *WORDS, "Bed 3", "wet, dug over", 'he said "no"', "a;b\tc", "line\nbreak\r\nmore", "-3", "+1", "@x", "'=1", "''+2",
    " =2", "\t9", "Größe 5 µm", "土", "", "  blank  ", "true", "07", "1e5", "2026-05-03",
)  # fmt: skip
START: Final = datetime(2025, 3, 1, 5, 30, tzinfo=UTC)


def picture(shade: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (8, 6), (shade, 60, 30)).save(out, "JPEG")
    return out.getvalue()


class MadePlot:
    """Records in wire form and the bytes of their photos, the same for the same seed."""

    def __init__(self, seed: int, size: int = 30) -> None:
        self.dice = random.Random(seed)
        self.plot_id = self.new_id()
        self.photos = {
            hashlib.sha256(data).hexdigest(): data for data in (picture(self.dice.randrange(256)),)
        }
        types = self.dice.choices(list(RECORD_TYPES), k=size)
        ids: dict[str, list[str]] = {"plot": [self.plot_id]}
        self.rows = [(name, self.new_id()) for name in types if name != "plot"]
        for name, id_ in self.rows:
            ids.setdefault(name, []).append(id_)
        self.ids = ids
        self.records = [self.record("plot", self.plot_id)] + [self.record(*row) for row in self.rows]

    def new_id(self) -> str:
        return str(uuid.UUID(int=self.dice.getrandbits(128), version=4))

    def record(self, name: str, id_: str) -> dict[str, Any]:
        body: dict[str, Any] = {}
        for field in RECORD_TYPES[name].fields.values():
            if field.required or self.dice.random() < 0.6:
                body[field.name] = self.value(field)
        if self.dice.random() < 0.2:
            body["of a later version"] = {"deep": [1, self.dice.choice(TEXTS)]}
        if name == "slug_count" and body["state"] == "counted":
            body["count"] = self.dice.randrange(40)
        if name == "slug_count" and body["state"] == "none_found" and self.dice.random() < 0.8:
            body["count"] = self.dice.choice([0, None])
        conflicts = []
        if self.dice.random() < 0.1:
            said = {"note": "another word"} if body.get("note") != "another word" else {"note": "one more"}
            conflicts = [{"id": self.new_id(), "why": "overlap", "set": said, "device": None, "base_rev": 1}]
            body.setdefault("note", "a word")
        assert check_set(name, body, creating=False) == [], (name, body)
        return {
            "id": id_,
            "type": name,
            "rev": 1,
            "seq": 1,
            "deleted": False,
            "body": body,
            "conflicts": conflicts,
        }

    def value(self, field: Field) -> Any:
        dice = self.dice
        low = field.minimum if field.minimum is not None else -1000.0
        high = min(field.maximum if field.maximum is not None else 1e6, 1e6)
        if field.kind in ("whole", "number", "numbers", "quantity"):
            between = round(dice.uniform(low, min(high, low + 500)), dice.randrange(5))
            number = dice.choice([low, high, min(high, max(low, between))])
            if field.kind == "whole":
                return int(number)
            if field.kind == "numbers":
                return [number, low]
            return {"value": number, "unit": dice.choice(field.units)} if field.kind == "quantity" else number
        if field.kind == "text":
            if field.name == "sha256":
                return dice.choice(sorted(self.photos))
            text = dice.choice(TEXTS)[: field.max_length]
            return text or ("x" if field.required else "")
        if field.kind in ("ref", "refs"):
            known = self.ids.get(field.target) or [self.new_id()]
            return dice.choice(known) if field.kind == "ref" else dice.sample(known, min(2, len(known)))
        at = START + timedelta(minutes=dice.randrange(600_000))
        simple: Mapping[str, Any] = {
            "choice": dice.choice(field.choices or ("",)),
            "choices": dice.sample(field.choices, min(2, len(field.choices))),
            "yes_no": dice.random() < 0.5,
            "instant": at.isoformat(timespec=dice.choice(["seconds", "milliseconds"])),
            "day": at.date().isoformat(),
            "time_zone": "Europe/London",
            "taxa": [{"name": dice.choice(TEXTS) or "x", "count": dice.randrange(9)}],
            "photos": [{"sha256": sha256, "bytes": len(data)} for sha256, data in self.photos.items()],
            "outline": [[0, 0], [dice.randrange(1, 9), 0], [2, 1.25]],
            "settings": {"a": [1, {"b": dice.choice(TEXTS)}]},
        }
        return simple[field.kind]
