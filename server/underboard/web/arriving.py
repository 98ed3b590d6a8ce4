"""Taking in what comes from elsewhere: where files that were read meet the store, for the web and the command."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import IO, Any

from underboard.core.errors import PhotoFault, UnknownRecord
from underboard.core.sync.envelope import read_op
from underboard.core.sync.terms import Op
from underboard.exchange.bundle import Bundle
from underboard.exchange.incoming import (
    IMPORT,
    Coming,
    Known,
    Refusal,
    Sorted,
    import_note,
    of_bundle,
    operations,
    renamed,
    sort_out,
    with_import,
)
from underboard.exchange.undoing import Undo, plan_undo
from underboard.store import people, whole_plots
from underboard.store.blobs import BlobStore


@dataclass(frozen=True)
class Who:
    """Who takes something in: the device for the change log, the name for the diary."""

    device_id: str
    name: str


@dataclass(frozen=True)
class Taken:
    """What became of an import. `import_id` is None when nothing was written."""

    import_id: str | None
    counts: Mapping[str, int]
    same: int
    refused: Sequence[Refusal]
    photos: int = 0


def look_in(plot_id: str) -> Any:
    """Return what tells `sort_out` which records the plot has."""

    def look(ids: Sequence[str]) -> dict[str, Known]:
        found = whole_plots.kept(plot_id, ids)
        return {id_: Known(one.type, one.body, one.deleted) for id_, one in found.items()}

    return look


def write_import(plot_id: str, name: str, found: Sorted, who: Who, now: datetime) -> Taken:
    """Write what is new of an import, and its note for the diary. Nothing new, nothing written."""
    if not found.new:
        return Taken(None, {}, len(found.same), found.refused)
    import_id = people.new_id(now)
    note = import_note(import_id, name, found, now.isoformat(timespec="seconds"), who.name)
    refused = _write(plot_id, [note, *with_import(found.new, import_id)], who, now)
    found.refused += refused
    return Taken(import_id, found.counts(), len(found.same), found.refused)


def _write(plot_id: str, coming: Sequence[Coming], who: Who, now: datetime) -> list[Refusal]:
    rows = {one.id: one.row for one in coming}
    ops = operations(plot_id, coming)
    results = whole_plots.write_ops(plot_id, who.device_id, ops, now)
    return [
        Refusal(rows.get(result.record_id or "", 0), str((result.problem or {}).get("detail", result.status)))
        for result in results
        if result.status in ("rejected", "retry", "reused")
    ]


def new_plot_of(bundle: Bundle, blobs: BlobStore, who: Who, now: datetime) -> Taken:
    """Make an equal plot under its own id, on a server that does not have it.

    Raises
    ------
    InputFault
        Nothing was made: the plot is here already.
    """
    found = sort_out(of_bundle(bundle.records), lambda ids: {})
    people.create_plot(bundle.plot_id)
    refused = [*found.refused, *_write(bundle.plot_id, found.new, who, now)]
    return Taken(None, found.counts(), 0, refused, _photos(bundle.plot_id, bundle, blobs, who, now))


def into_plot(plot_id: str, bundle: Bundle, name: str, blobs: BlobStore, who: Who, now: datetime) -> Taken:
    """Take a bundle's records into a plot that is there, as one import.

    Records of another plot get ids of this one, so that both plots can live on one server. The plot's own record
    stays as it is.
    """
    records: Sequence[Mapping[str, Any]] = bundle.records
    if bundle.plot_id != plot_id:
        records = renamed(records, bundle.plot_id, plot_id)
    there = look_in(plot_id)([plot_id])
    coming = [one for one in of_bundle(records) if one.type != "plot" or plot_id not in there]
    taken = write_import(plot_id, name, sort_out(coming, look_in(plot_id)), who, now)
    count = _photos(plot_id, bundle, blobs, who, now)
    return Taken(taken.import_id, taken.counts, taken.same, taken.refused, count)


def _photos(plot_id: str, bundle: Bundle, blobs: BlobStore, who: Who, now: datetime) -> int:
    count = 0
    for sha256 in bundle.photos:
        data = bundle.photo(sha256)
        if data is None:
            continue
        try:
            count += blobs.write_stream(plot_id, sha256, io.BytesIO(data), who.device_id, now).new
        except PhotoFault:
            continue  # a picture that is none stays out; its record says that there was one
    return count


def undo_import(plot_id: str, import_id: str, who: Who, now: datetime) -> Undo:
    """Remove the records of an import by ordinary deletions, but for those that somebody has worked on since.

    Raises
    ------
    UnknownRecord
        The plot has no such import, or it was undone.
    """
    living = whole_plots.living(plot_id)
    if not any(one["id"] == import_id and one["body"].get(IMPORT) == import_id for one in living):
        raise UnknownRecord(import_id)
    planned = plan_undo(import_id, living)
    ops: list[Op] = []
    for raw in planned.operations(plot_id):
        op = read_op(raw)
        if isinstance(op, Op):
            ops.append(op)
    results = whole_plots.write_ops(plot_id, who.device_id, ops, now)
    late = {one.record_id for one in results if one.status == "conflict" and one.record_id}
    return planned.but_late(late, living) if late else planned


def imports_of(plot_id: str) -> list[dict[str, Any]]:
    """Return the imports that stand, newest first, with how many of their records are here."""
    notes: list[dict[str, Any]] = []
    counts: dict[str, int] = {}
    for record in whole_plots.imported(plot_id):
        import_id = str(record["body"][IMPORT])
        if record["id"] == import_id:
            notes.append(record)
        else:
            counts[import_id] = counts.get(import_id, 0) + 1
    return [
        {
            "import_id": note["id"],
            "at": note["body"].get("observed_at"),
            "by": note["body"].get("observer"),
            "words": note["body"].get("text"),
            "records": counts.get(note["id"], 0),
        }
        for note in sorted(notes, key=lambda one: str(one["body"].get("observed_at")), reverse=True)
    ]


def is_bundle(file: IO[bytes]) -> bool:
    """Whether a file is a zip that calls itself a bundle of a plot (a spreadsheet is a zip too)."""
    try:
        with zipfile.ZipFile(file) as packed:
            return "manifest.json" in packed.namelist()
    except (zipfile.BadZipFile, OSError, ValueError, RuntimeError):
        return False
