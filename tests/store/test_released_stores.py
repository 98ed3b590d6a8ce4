"""The database of every released step of the schema, made by that release, opened by this one.

`fixtures/stores/` holds for each step a file and what its own code gave to phones (`make_release_store.py`).
"""

from __future__ import annotations

import gzip
import hashlib
import json
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine

from tests.conftest import bare_app
from tests.store.kept_plot import no_key
from tests.store.postgres import Cluster
from tests.store.sender import Sender, put, statuses
from underboard.config import Settings
from underboard.data_folder import prepare_data_folder, server_id
from underboard.store import db, migrate_to_head, people, sync_store
from underboard.store.backup.copying import copy_in, copy_out, copy_rows, count_rows, opened_file
from underboard.store.backup.making import make_backup
from underboard.store.backup.restoring import restore
from underboard.store.database import driver_url
from underboard.store.migrating import FOLDER, drift, make_at, steps

STORES = Path(__file__).parents[2] / "fixtures" / "stores"
STEPS = sorted(path.name.removesuffix(".sqlite3.gz") for path in STORES.glob("*.sqlite3.gz"))
NOW = datetime(2026, 6, 1, 3, 0, tzinfo=UTC)


def unpacked(step: str, target: Path) -> Path:
    target.parent.mkdir(parents=True, exist_ok=True)
    with gzip.open(STORES / f"{step}.sqlite3.gz") as packed, target.open("wb") as out:
        shutil.copyfileobj(packed, out)
    return target


def said(step: str) -> dict[str, Any]:
    return dict(json.loads((STORES / f"{step}.json").read_text("utf-8")))


def holds(now: Any, then: Any) -> bool:
    """Say whether everything that was given then is given now; a later version may say more of it."""
    if isinstance(then, dict):
        return set(then) <= set(now) and all(holds(now[name], then[name]) for name in then)
    if isinstance(then, list):
        return len(now) == len(then) and all(map(holds, now, then))
    return bool(now == then)


def look(url: str, then: dict[str, Any], *, same_epoch: bool = True) -> None:
    """Phones get what that release gave them, and can go on."""
    with bare_app(url).app_context():
        try:
            _look(then, same_epoch=same_epoch)
        finally:
            db.engine.dispose()


def _look(then: dict[str, Any], *, same_epoch: bool) -> None:
    with db.engine.connect() as connection:
        assert drift(connection) == []
    plot = then["plot_id"]
    assert people.plots() == [plot]
    assert (sync_store.epoch_of(plot) == then["epoch"]) is same_epoch
    found = people.devices(plot)
    assert sorted([one.name, one.role] for one in found) == sorted(then["devices"])
    phone = Sender(plot, found[0].id)
    assert holds(phone.pull_all()[0], then["records"])
    first = then["records"][0]
    assert statuses(phone.push(put({"note": "still here"}, first["id"], first["rev"]))) == ["applied"]


def test_every_step_has_its_store() -> None:
    """Whoever adds a step to the schema adds the store of the one before it, and this step's own at its release."""
    assert sorted(step.revision for step in ScriptDirectory(str(FOLDER)).walk_revisions()) == STEPS == steps()


@pytest.mark.parametrize("step", STEPS)
def test_it_is_brought_up_to_date_where_it_lies(step: str, tmp_path: Path) -> None:
    url = f"sqlite:///{unpacked(step, tmp_path / 'underboard.sqlite3')}"
    assert migrate_to_head(url) is (step != STEPS[-1])
    assert migrate_to_head(url) is False
    look(url, said(step))


@pytest.mark.parametrize("step", STEPS)
def test_it_is_brought_up_to_date_on_postgresql(step: str, tmp_path: Path, postgres: Cluster) -> None:
    """The same rows in the tables that this step had there; a backup of them as they are works too."""
    file = unpacked(step, tmp_path / "underboard.sqlite3")
    name = f"step_{step}"
    url = postgres.make(name)
    engine = create_engine(driver_url(url))
    with engine.begin() as connection:
        make_at(connection, step)
    with opened_file(file) as old, engine.begin() as connection:
        copy_rows(old, connection)
    engine.dispose()
    copy_out(url, tmp_path / "copy.sqlite3")
    with closing(sqlite3.connect(file)) as old, closing(sqlite3.connect(tmp_path / "copy.sqlite3")) as new:
        assert count_rows(old) == count_rows(new)
        assert new.execute("SELECT version_num FROM alembic_version").fetchone() == (step,)
    assert migrate_to_head(url) is (step != STEPS[-1])
    look(url, said(step))
    postgres.drop(name)


@pytest.mark.parametrize("step", STEPS)
def test_a_backup_of_it_is_put_back_by_this_version(step: str, tmp_path: Path) -> None:
    """Backed up before the upgrade, as it lies; brought up to date on its way back."""
    old = Settings(data=tmp_path / "old")
    file = unpacked(step, old.data / "underboard.sqlite3")
    prepare_data_folder(old)
    server_id(old)
    before = hashlib.sha256(file.read_bytes()).hexdigest()
    made = make_backup(old, tmp_path / "old.tar", NOW)
    assert made.contents.manifest.schema == step
    assert hashlib.sha256(file.read_bytes()).hexdigest() == before
    new = Settings(data=tmp_path / "new")
    restore(new, made.file, no_key, NOW)
    look(new.database, said(step), same_epoch=False)


def test_an_old_store_moves_onto_postgresql(tmp_path: Path, postgres: Cluster) -> None:
    file = unpacked(STEPS[0], tmp_path / "underboard.sqlite3")
    migrate_to_head(f"sqlite:///{file}")
    url = postgres.make("moved")
    copy_in(file, url)
    look(url, said(STEPS[0]))
    postgres.drop("moved")
