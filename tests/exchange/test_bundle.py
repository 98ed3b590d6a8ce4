"""The bundle: what leaves comes back equal, and what anybody made by hand does no harm."""

from __future__ import annotations

import io
import json
import shutil
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from tests.conftest import bare_app
from tests.exchange.made_plots import START, MadePlot
from underboard.core.errors import InputFault
from underboard.exchange.bundle import read_bundle, read_member, write_bundle
from underboard.exchange.holding import Holding
from underboard.exchange.record_schema import records_schema
from underboard.exchange.undoing import Stay, plan_undo
from underboard.store import db, people, whole_plots
from underboard.store.blobs import BlobStore
from underboard.store.shelves import Folder
from underboard.web.arriving import Who, imports_of, into_plot, new_plot_of, undo_import

ME = Who("server", "Ann")
CHEAP = settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture(scope="module")
def blobs(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Iterator[BlobStore]:
    folder = tmp_path_factory.mktemp("bundles")
    shutil.copyfile(migrated_sqlite, folder / "underboard.sqlite3")
    app = bare_app(f"sqlite:///{folder / 'underboard.sqlite3'}")
    with app.app_context():
        yield BlobStore(Folder(folder / "blobs"))
        db.engine.dispose()


def packed(holding: Holding, photos: Any) -> io.BytesIO:
    out = io.BytesIO()
    write_bundle(out, holding, photos, START, "1")
    return io.BytesIO(out.getvalue())


def meaning(records: list[dict[str, Any]]) -> dict[str, Any]:
    """All that a plot says: by id the type, the body, and what the open conflicts want."""
    return {
        one["id"]: (one["type"], one["body"], [(c["why"], c["set"]) for c in one.get("conflicts") or ()])
        for one in records
    }


@CHEAP
@given(st.integers(0, 2**32))
def test_a_bundle_taken_in_elsewhere_is_an_equal_plot(blobs: BlobStore, seed: int) -> None:
    made = MadePlot(seed)
    bundle = read_bundle(packed(Holding(made.plot_id, made.records), made.photos.get))
    if made.plot_id in people.plots():
        return  # the same seed again
    taken = new_plot_of(bundle, blobs, ME, START)
    assert taken.refused == []
    there = whole_plots.living(made.plot_id)
    assert meaning(there) == meaning(made.records)
    named = [sha256 for sha256 in bundle.photos if made.photos[sha256] is not None]
    for sha256 in named:
        with blobs.open(made.plot_id, sha256) as (_, stream):
            assert stream.read() == made.photos[sha256]
    # and what leaves from there is the same again, byte for byte but for the order of records
    again = read_bundle(packed(Holding(made.plot_id, there), made.photos.get))
    assert meaning(list(again.records)) == meaning(made.records)


@CHEAP
@given(st.integers(0, 2**32))
def test_into_another_plot_it_comes_under_other_ids_and_goes_again(blobs: BlobStore, seed: int) -> None:
    made = MadePlot(seed, size=20)
    home = people.create_plot()
    bundle = read_bundle(packed(Holding(made.plot_id, made.records), made.photos.get))
    taken = into_plot(home, bundle, "old.zip", blobs, ME, START)
    assert taken.refused == [] and taken.import_id is not None
    there = {one["id"]: one for one in whole_plots.living(home)}
    assert len(there) == len(made.records) + 1  # and the note of the import
    assert not {one["id"] for one in made.records} & there.keys()
    types = sorted(one["type"] for one in made.records)
    assert sorted(one["type"] for id_, one in there.items() if id_ != taken.import_id) == types
    text = json.dumps([one["body"] for one in there.values()])
    assert [one["id"] for one in made.records if one["id"] in text] == []
    assert into_plot(home, bundle, "old.zip", blobs, ME, START).import_id is None  # twice is once
    undone = undo_import(home, taken.import_id, ME, START)
    left = {one["id"] for one in whole_plots.living(home)}
    assert left == set(undone.kept)
    disputed = {id_ for id_, one in there.items() if one["conflicts"] or one["rev"] > 1}
    assert disputed <= left
    why = {one.id: one.why for one in undone.stays}
    touched = {id_: "conflict" if there[id_]["conflicts"] else "edited" for id_ in disputed}
    assert why == {id_: touched.get(id_, "named") for id_ in left}


def test_what_is_edited_between_the_look_and_the_deletions_stays() -> None:
    note = {"id": "i", "type": "note", "rev": 1, "body": {"import_id": "i", "text": "old.zip"}}
    board = {"id": "b", "type": "station", "rev": 1, "body": {"import_id": "i", "label": "B1"}}
    planned = plan_undo("i", [note, board])
    assert {id_ for id_, _ in planned.removed} == {"i", "b"} and planned.stays == ()
    late = planned.but_late({"b"}, [note, board])
    assert late.removed == (("i", 1),)
    assert late.stays == (Stay("b", "station", "edited", "B1", None),)


def test_the_schema_in_the_bundle_describes_its_records() -> None:
    made = MadePlot(7, size=40)
    with zipfile.ZipFile(packed(Holding(made.plot_id, made.records), made.photos.get)) as bundle:
        schema = json.loads(bundle.read("schema.json"))
        records = json.loads(bundle.read("records.json"))
    assert schema == records_schema()
    Draft202012Validator.check_schema(schema)
    validator = Draft202012Validator(schema)
    assert [error.message for error in validator.iter_errors(records)] == []
    spoilt = [{**records[0], "body": {**records[0]["body"], "latitude": "north"}}]
    assert list(validator.iter_errors(spoilt))


def zipped(**members: bytes) -> io.BytesIO:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in members.items():
            made.writestr(name.replace("__", "."), data)
    return io.BytesIO(out.getvalue())


MANIFEST = json.dumps({"form": "underboard-bundle", "version": 1, "plot_id": "x"}).encode()


@pytest.mark.parametrize(
    "file",
    [
        io.BytesIO(b"PK"),
        io.BytesIO(b""),
        zipped(),
        zipped(manifest__json=b"[]"),
        zipped(manifest__json=b"[" * 100_000),
        zipped(manifest__json=MANIFEST),
        zipped(manifest__json=MANIFEST, records__json=b"[]"),  # not the records it was made with
        zipped(manifest__json=MANIFEST.replace(b'"version": 1', b'"version": 2')),
    ],
)
def test_what_is_no_bundle_is_refused_in_words(file: io.BytesIO) -> None:
    with pytest.raises(InputFault):
        read_bundle(file)


def test_a_member_is_counted_while_it_is_unpacked() -> None:
    bomb = zipped(records__json=b"0" * 5_000_000)
    assert len(bomb.getvalue()) < 10_000
    with zipfile.ZipFile(bomb) as archive, pytest.raises(InputFault, match="larger than 1 MiB"):
        read_member(archive, "records.json", 1024 * 1024)


def test_names_in_a_bundle_are_never_paths(tmp_path: Path) -> None:
    made = MadePlot(5)
    file = packed(Holding(made.plot_id, made.records), made.photos.get)
    with zipfile.ZipFile(file, "a") as archive:
        archive.writestr("photos/../../../escaped", b"x")
        archive.writestr("/etc/escaped", b"x")
    bundle = read_bundle(file)
    assert set(bundle.photos) <= set(made.photos)
    assert bundle.photo("../../../escaped") is None


def test_an_import_is_listed_and_undone_on_both_databases(database_app: Flask, tmp_path: Path) -> None:
    made, home = MadePlot(4, size=12), people.create_plot()
    bundle = read_bundle(packed(Holding(made.plot_id, made.records), made.photos.get))
    taken = into_plot(home, bundle, 'an "odd" name.zip', BlobStore(Folder(tmp_path)), ME, START)
    (standing,) = imports_of(home)
    assert (standing["import_id"], standing["by"]) == (taken.import_id, "Ann")
    assert standing["records"] == sum(taken.counts.values()) == len(made.records)
    assert taken.import_id is not None
    done = undo_import(home, taken.import_id, ME, START)
    assert len(done.removed) + len(done.kept) == len(made.records) + 1
    assert imports_of(home) == []
