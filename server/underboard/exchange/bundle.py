"""The whole plot in one zip: records as JSON with open conflicts, photos, and the schema of it all.

A bundle taken in elsewhere gives an equal plot: the same records, bodies, open conflicts and photos. What it does not
hold are the change log, removed records, devices and keys; those are in a backup.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import IO, Any, Final

from underboard.core.errors import InputFault
from underboard.exchange.holding import Holding, Photos, Wire, photo_names
from underboard.exchange.record_schema import records_schema

FORM: Final = "underboard-bundle"
VERSION: Final = 1
MAX_JSON: Final = 256 * 1024 * 1024  # ten years of one plot are about 60 MB
MAX_PHOTO: Final = 12 * 1024 * 1024
MAX_MEMBERS: Final = 200_000
_PHOTOS: Final = "photos/"
_EPOCH: Final = (1980, 1, 1, 0, 0, 0)  # the earliest a zip can say; the making is in the manifest


@dataclass(frozen=True)
class Bundle:
    """What a bundle holds. `photo` gives the bytes of one, None when it is not in it."""

    plot_id: str
    records: list[Wire]
    photos: tuple[str, ...]
    photo: Photos


def write_bundle(
    out: IO[bytes], holding: Holding, photos: Photos, made_at: datetime, app_version: str
) -> None:
    """Write the bundle of a plot; photos that have not arrived are named in the manifest as missing."""
    records = [
        {"id": one["id"], "type": one["type"], "body": one["body"], **_conflicts(one)}
        for one in holding.records
    ]
    files = {"records.json": _json(records), "schema.json": _json(records_schema())}
    missing: list[str] = []
    kept: list[str] = []
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bundle:
        for name, data in files.items():
            _add(bundle, name, data)
        for sha256 in photo_names(holding.records):
            picture = photos(sha256)
            if picture is None:
                missing.append(sha256)
                continue
            kept.append(sha256)
            _add(bundle, _PHOTOS + sha256, picture, zipfile.ZIP_STORED)  # pictures are packed already
        manifest = {
            "form": FORM,
            "version": VERSION,
            "made_at": made_at.isoformat(),
            "made_by": f"underboard {app_version}",
            "plot_id": holding.plot_id,
            "records": len(records),
            "photos": len(kept),
            "photos_missing": missing,
            "sha256": {name: hashlib.sha256(data).hexdigest() for name, data in files.items()},
        }
        _add(bundle, "manifest.json", _json(manifest))


def _conflicts(record: Wire) -> dict[str, Any]:
    kept = [{"why": one["why"], "set": one["set"]} for one in record.get("conflicts") or ()]
    return {"conflicts": kept} if kept else {}


def _json(value: Any) -> bytes:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"), indent=None).encode()


def _add(bundle: zipfile.ZipFile, name: str, data: bytes, packing: int = zipfile.ZIP_DEFLATED) -> None:
    info = zipfile.ZipInfo(name, _EPOCH)
    info.compress_type = packing
    info.external_attr = 0o644 << 16
    bundle.writestr(info, data)


def read_bundle(file: IO[bytes], most: int = MAX_JSON) -> Bundle:
    """Read a bundle that anybody may have made: sizes are counted while it is unpacked, names are never paths.

    The file must stay open while photos are asked for. `most` bounds the records unpacked [bytes].

    Raises
    ------
    InputFault
        It is no whole bundle, or larger inside than any plot.
    """
    try:
        bundle = zipfile.ZipFile(file)
        names = bundle.namelist()
    except (zipfile.BadZipFile, OSError, ValueError, RuntimeError) as fault:
        raise InputFault("", "That is no bundle: a zip that `underboard export` made is wanted.") from fault
    if len(names) > MAX_MEMBERS or len(set(names)) != len(names):
        raise InputFault("", "That is no bundle: it holds too many files, or one twice.")
    manifest = _read_json(bundle, "manifest.json", 1024 * 1024 + 100 * MAX_MEMBERS)
    if not isinstance(manifest, dict) or manifest.get("form") != FORM:
        raise InputFault("/manifest.json", "That zip is no bundle of a plot.")
    if manifest.get("version") != VERSION:
        raise InputFault(
            "/manifest.json", f"This Underboard reads bundles of version {VERSION}: update it first."
        )
    raw = read_member(bundle, "records.json", most)
    if hashlib.sha256(raw).hexdigest() != (manifest.get("sha256") or {}).get("records.json"):
        raise InputFault(
            "/records.json", "The bundle is damaged: its records are not those it was made with."
        )
    records = _records(raw)
    there = {name.removeprefix(_PHOTOS) for name in names if name.startswith(_PHOTOS)}
    photos = tuple(sha256 for sha256 in photo_names(records) if sha256 in there)
    return Bundle(str(manifest.get("plot_id")), records, photos, _photo_reader(bundle, frozenset(photos)))


def _photo_reader(bundle: zipfile.ZipFile, there: frozenset[str]) -> Callable[[str], bytes | None]:
    def photo(sha256: str) -> bytes | None:
        return read_member(bundle, _PHOTOS + sha256, MAX_PHOTO) if sha256 in there else None

    return photo


def _records(raw: bytes) -> list[Wire]:
    try:
        records = json.loads(raw)
    except (ValueError, RecursionError) as fault:
        raise InputFault("/records.json", "The bundle is damaged: its records can't be read.") from fault
    if not isinstance(records, list):
        raise InputFault("/records.json", "A list of records is wanted.")
    for place, one in enumerate(records):
        fine = isinstance(one, dict) and isinstance(one.get("body"), dict)
        if not fine or not isinstance(one.get("id"), str) or not isinstance(one.get("type"), str):
            raise InputFault(f"/records.json/{place}", "A record has an id, a type and a body.")
    return records


def _read_json(bundle: zipfile.ZipFile, name: str, most: int) -> Any:
    try:
        return json.loads(read_member(bundle, name, most))
    except (ValueError, RecursionError) as fault:
        if isinstance(fault, InputFault):
            raise
        raise InputFault(f"/{name}", "The bundle is damaged: this part can't be read.") from fault


def read_member(archive: zipfile.ZipFile, name: str, most: int) -> bytes:
    """Return one member, counted while it is unpacked: what its head says of its size may be a lie.

    Raises
    ------
    InputFault
        It is not there, damaged, encrypted, or longer than `most` bytes.
    """
    try:
        with archive.open(name) as member:
            data = member.read(most + 1)
    except KeyError as fault:
        raise InputFault(f"/{name}", "This part is missing in the file.") from fault
    except (zipfile.BadZipFile, OSError, ValueError, EOFError, RuntimeError) as fault:
        raise InputFault(f"/{name}", "This part of the file is damaged.") from fault
    if len(data) > most:
        raise InputFault(
            f"/{name}", f"This part of the file is larger than {most // (1024 * 1024)} MiB unpacked."
        )
    return data
