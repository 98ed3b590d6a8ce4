"""Every form in which a plot leaves, by name: one table for the command and the web."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import IO, Final

from underboard.exchange.bundle import write_bundle
from underboard.exchange.holding import Holding, Photos
from underboard.exchange.out.csv_tables import observations_csv, table_names, type_csv
from underboard.exchange.out.darwin_core import darwin_core
from underboard.exchange.out.parquet import write_parquet
from underboard.exchange.out.sensor_things import write_sensor_things
from underboard.exchange.out.sketch_map import sketch_map

_ZIPPED: Final = "application/zip"


@dataclass(frozen=True)
class Asked:
    """What a form is made from."""

    holding: Holding
    photos: Photos
    made_at: datetime
    app_version: str


@dataclass(frozen=True)
class Form:
    """One form: `write` puts it into a binary file; `exact` says that it tells the exact place."""

    name: str
    doc: str
    media_type: str
    suffix: str
    write: Callable[[IO[bytes], Asked], None]
    exact: bool = False


def _observations(out: IO[bytes], asked: Asked) -> None:
    out.write(observations_csv(asked.holding).encode())


def _tables(out: IO[bytes], asked: Asked) -> None:
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as folder:
        folder.writestr("observations.csv", observations_csv(asked.holding))
        for name in table_names(asked.holding):
            folder.writestr(f"{name}.csv", type_csv(asked.holding, name))


def _bundle(out: IO[bytes], asked: Asked) -> None:
    write_bundle(out, asked.holding, asked.photos, asked.made_at, asked.app_version)


def _darwin_core(out: IO[bytes], asked: Asked) -> None:
    out.write(darwin_core(asked.holding, asked.made_at))


def _sketch(out: IO[bytes], asked: Asked) -> None:
    _json(out, sketch_map(asked.holding))


def _sensor_things(out: IO[bytes], asked: Asked) -> None:
    write_sensor_things(out, asked.holding)


def _parquet(out: IO[bytes], asked: Asked) -> None:
    write_parquet(out, asked.holding)


def _json(out: IO[bytes], value: object) -> None:
    out.write(json.dumps(value, ensure_ascii=False, indent=1).encode())


_FORMS: Final = (
    Form("observations", "every number that was seen, one row each, as CSV", "text/csv", ".csv", _observations),
    Form("tables", "a CSV table of each kind of record, in a zip", _ZIPPED, ".zip", _tables),
    Form("bundle", "everything with photos, to be taken in by another Underboard", _ZIPPED, ".zip", _bundle, True),
    Form("darwin-core", "counts as a Darwin Core archive, absences too", _ZIPPED, ".zip", _darwin_core),
    Form("sensor-things", "observations in the shape of OGC SensorThings, as JSON", "application/json", ".json",
         _sensor_things),
    Form("parquet", "every number that was seen, as Parquet", "application/vnd.apache.parquet", ".parquet", _parquet),
    Form("sketch", "places and stations on a map, as GeoJSON", "application/geo+json", ".geojson", _sketch),
)  # fmt: skip
FORMS: Final[Mapping[str, Form]] = {form.name: form for form in _FORMS}
