"""The digest of a plot: what rules need of its records, small, and kept up to date by new records alone.

A digest holds one compact entry a record, by id, so taking a record twice or in another order changes
nothing. Old observations are let go at a horizon; of old readings the nights and paired minima stay behind.
A change to something older than the horizon cannot be taken in: `take` then says so and the digest is made
anew from all records. Whichever way it was made, it is the same (tests/core/warnings/test_digest.py).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any, Final

from underboard.core.warnings.compact import Entry, Spot, compact
from underboard.core.warnings.nights import nights_of, pairs_of, readings_of

VERSION: Final = 2
#: Days for which entries of a type are kept; types that are not named stay for ever.
HORIZON_DAYS: Final[Mapping[str, int]] = {
    "evening": 400,
    "temperature": 400,
    "round": 250,
    "slug_count": 250,
    "trap_catch": 1500,
    "soil_sample": 1500,
    "treatment": 400,
    "warning": 400,
    "warning_reply": 400,
}
#: A reading is credited by the reset before it, which is looked for this far back.
SLACK_DAYS: Final = 7
#: So many clear nights, and paired minima a place, are enough for any fit.
MOST_KEPT: Final = 500
_FOLDED = ("evening", "temperature")
# What folded nights were read with: another exposure or offset makes other nights of the same readings.
_READ_WITH = ("station", "place")


class TooOld(Exception):
    """A record of before the horizon changed: the digest has to be made anew from all records."""


@dataclass
class Digest:
    """See the module. `cut`: nights before this date are folded into `nights` and `pairs`."""

    plot_id: str
    plot: dict[str, Any]
    cut: date = date.min
    entries: dict[str, dict[str, Entry]] = field(default_factory=lambda: defaultdict(dict))
    nights: list[list[Any]] = field(default_factory=list)
    pairs: dict[str, list[list[Any]]] = field(default_factory=dict)

    @property
    def spot(self) -> Spot:
        return Spot.of(self.plot)


def begin(plot_id: str, plot_body: Mapping[str, Any]) -> Digest:
    """Return the empty digest of a plot. Days depend on its time zone, so its record comes first."""
    return Digest(plot_id, dict(plot_body))


def take(digest: Digest, records: Iterable[Mapping[str, Any]], today: date | None = None) -> None:
    """Take in records as they go over the wire, deleted ones too.

    Parameters
    ----------
    today
        What `forget` would let go on that day, and leaves nothing behind, is not taken in at all: who reads ten years
        must not hold them at once.

    Raises
    ------
    TooOld
        One of them moves what has been folded already; the digest is of no more use.
    """
    spot, since = digest.spot, _since(today) if today is not None else {}
    for record in records:
        if record["type"] == "plot":
            if record["id"] == digest.plot_id and not record.get("deleted"):
                if Spot.of(record["body"]) != spot:
                    raise TooOld
                digest.plot = dict(record["body"])
            continue
        entry = None if record.get("deleted") else compact(record, spot)
        if entry is not None and entry.get("day", "") < since.get(record["type"], ""):
            entry = None
        _put(digest, record["type"], record["id"], entry)


def _since(today: date) -> dict[str, str]:
    """The first day that `forget` keeps, of the types it folds nothing of."""
    return {
        name: (today - timedelta(days=days)).isoformat()
        for name, days in HORIZON_DAYS.items()
        if name not in _FOLDED
    }


def _put(digest: Digest, type_name: str, record_id: str, entry: Entry | None) -> None:
    kept = digest.entries[type_name]
    folded = digest.cut - timedelta(days=SLACK_DAYS) if digest.cut > date.min else date.min
    old = kept.get(record_id)
    if type_name in _FOLDED and digest.cut > date.min:
        unknown = old is None and entry is None
        before = min((e["day"] for e in (old, entry) if e is not None), default="")
        if unknown or before <= digest.cut.isoformat():
            raise TooOld
    if type_name in _READ_WITH and digest.cut > date.min and old != entry:
        raise TooOld
    if entry is None or (type_name in HORIZON_DAYS and entry["day"] < folded.isoformat()):
        kept.pop(record_id, None)
    else:
        kept[record_id] = entry


def forget(digest: Digest, today: date) -> None:
    """Let go of what lies behind the horizon, and fold its nights."""
    cut = today - timedelta(days=HORIZON_DAYS["evening"])
    if cut > digest.cut:
        _fold(digest, cut)
        digest.cut = cut
    for type_name, days in HORIZON_DAYS.items():
        slack = SLACK_DAYS if type_name in _FOLDED else 0
        first = (today - timedelta(days=days + slack)).isoformat()
        kept = digest.entries[type_name]
        for record_id in [one for one, entry in kept.items() if entry["day"] < first]:
            del kept[record_id]


def _fold(digest: Digest, cut: date) -> None:
    stations = digest.entries["station"]
    readings = readings_of(digest.entries["temperature"], stations)
    found = nights_of(digest.entries["evening"], readings, stations, digest.entries["place"])
    rows = [
        [one.night.isoformat(), one.evening_c, one.dew_c, one.min_c]
        for one in found
        if digest.cut <= one.night < cut
    ]
    digest.nights = (digest.nights + rows)[-MOST_KEPT:]
    for place_id, pairs in pairs_of(readings, stations, digest.entries["place"]).items():
        more = [
            [one.night.isoformat(), one.outside_c, one.inside_c]
            for one in pairs
            if digest.cut <= one.night < cut
        ]
        if more:
            digest.pairs[place_id] = (digest.pairs.get(place_id, []) + more)[-MOST_KEPT:]


def to_json(digest: Digest) -> dict[str, Any]:
    """Return the digest as JSON can hold it."""
    return {
        "version": VERSION,
        "plot_id": digest.plot_id,
        "plot": digest.plot,
        "cut": digest.cut.isoformat(),
        "entries": {name: kept for name, kept in sorted(digest.entries.items()) if kept},
        "nights": digest.nights,
        "pairs": digest.pairs,
    }


def from_json(said: Mapping[str, Any]) -> Digest | None:
    """Read a digest back; None when another version of this module wrote it."""
    if said.get("version") != VERSION:
        return None
    entries: dict[str, dict[str, Entry]] = defaultdict(dict)
    entries.update(said["entries"])
    return Digest(
        said["plot_id"],
        dict(said["plot"]),
        date.fromisoformat(said["cut"]),
        entries,
        list(said["nights"]),
        dict(said["pairs"]),
    )
