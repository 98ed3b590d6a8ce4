"""The living records of one plot, grouped and named, as every way out reads them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

Wire = Mapping[str, Any]
"""A record as pull gives it: `id`, `type`, `rev`, `body`, `conflicts`."""
Photos = Callable[[str], bytes | None]
"""Gives the bytes of a photo by its SHA-256, None when they have not arrived."""

COARSE_DEG = 0.01
"""Step to which a plot's place is rounded unless its owner says `exact_location`; about 1.1 km north to south."""


@dataclass(frozen=True)
class Spot:
    """Where a plot lies as it may be told. `blurred` says that both were rounded to `COARSE_DEG`."""

    latitude: float
    longitude: float
    blurred: bool


@dataclass
class Holding:
    """One plot's records. `plot` is the body of the plot's own record, empty before it is set up."""

    plot_id: str
    records: Sequence[Wire]
    _by_type: dict[str, list[Wire]] = field(init=False, repr=False)
    _by_id: dict[str, Wire] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        grouped: dict[str, list[Wire]] = defaultdict(list)
        for record in self.records:
            grouped[record["type"]].append(record)
        self._by_type = grouped
        self._by_id = {record["id"]: record for record in self.records}

    @property
    def plot(self) -> Mapping[str, Any]:
        return self.body(self.plot_id)

    def of(self, type_name: str) -> list[Wire]:
        return self._by_type.get(type_name, [])

    def seen(self, type_name: str) -> list[Wire]:
        """The records of a type in the order of when they were seen."""
        return sorted(
            self.of(type_name), key=lambda one: (str(one["body"].get("observed_at") or ""), one["id"])
        )

    def body(self, record_id: str | None) -> Mapping[str, Any]:
        """Return the body of a record, empty when it is not (or no longer) here."""
        found = self._by_id.get(record_id or "")
        return found["body"] if found is not None else {}

    def label(self, record_id: str | None) -> str:
        """Return what people call a record: its label, name or kind; empty when it has none."""
        body = self.body(record_id)
        return str(body.get("label") or body.get("name") or body.get("kind") or "")

    def labels(self, record_ids: Iterable[str] | None) -> list[str]:
        return [self.label(one) or one for one in record_ids or ()]

    def place_of(self, body: Mapping[str, Any]) -> str | None:
        """Return the id of the place that a record is about: its own, or that of its station or crop."""
        direct = body.get("place_id")
        if direct:
            return str(direct)
        for name in ("station_id", "crop_id"):
            through = self.body(body.get(name)).get("place_id")
            if through:
                return str(through)
        return None

    def spot(self) -> Spot | None:
        """Return where the plot lies as it may be told, None when it does not say."""
        latitude, longitude = self.plot.get("latitude"), self.plot.get("longitude")
        if latitude is None or longitude is None:
            return None
        if self.plot.get("exact_location") is True:
            return Spot(float(latitude), float(longitude), False)
        return Spot(_coarse(float(latitude)), _coarse(float(longitude)), True)


def _coarse(degrees: float) -> float:
    return round(round(degrees / COARSE_DEG) * COARSE_DEG, 2)


def photo_names(records: Iterable[Wire]) -> Iterator[str]:
    """Give the SHA-256 of every photo that a record names, each once."""
    given: set[str] = set()
    for record in records:
        body = record["body"]
        named = [photo.get("sha256") for photo in body.get("photos") or () if isinstance(photo, Mapping)]
        if record["type"] == "photo":
            named.append(body.get("sha256"))
        for sha256 in named:
            if isinstance(sha256, str) and sha256 not in given:
                given.add(sha256)
                yield sha256
