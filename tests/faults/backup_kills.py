"""Kill -9 a backup and a restore, at marked points and at any moment between: old data and old backups stay whole.

tests/faults/kill_backups --rounds 200 [--seed 1] [--database sqlite|postgres] [--what backup|restore]
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from tests.store.kept_plot import (
    Rows,
    all_rows,
    files_in,
    fill,
    keep_photo,
    no_key,
    photo,
    settings_in,
    store_of,
)
from tests.store.postgres import Cluster
from tests.store.sender import COUNT, Sender, put
from underboard.cli.opening import used
from underboard.config import Settings
from underboard.store import migrate_to_head, people
from underboard.store.backup.making import make_backup
from underboard.store.backup.reading import read_backup
from underboard.store.backup.restoring import restore

NOW = datetime(2026, 6, 1, 3, 0, tzinfo=UTC)
LATER = datetime(2026, 6, 2, 3, 0, tzinfo=UTC)
MARKS = {"backup": ("copied", "written", "checked", "noting"), "restore": ("checked", "staged", "moved")}
Mark = Callable[[str], None]


class Ground:
    """A plot as it stands today, and yesterday's backup of it; every round begins from a copy of both."""

    def __init__(self, folder: Path, cluster: Cluster | None) -> None:
        self.folder, self.cluster = folder, cluster
        url = cluster.make("today") if cluster else ""
        if cluster:
            migrate_to_head(url)
        self.today = settings_in(folder / "today", url)
        fill(self.today)
        self.kept = make_backup(self.today, folder / "kept.tar", NOW, note=False).file
        self.yesterday = _settled(all_rows(self.today.database))
        with store_of(self.today):
            phone = Sender(people.plots()[0], people.devices(people.plots()[0])[0].id)
            phone.push(*(put({**COUNT, "note": "today " * 50}) for _ in range(300)))
            keep_photo(self.today, phone, photo(3))
        self.rows, self.files = all_rows(self.today.database), files_in(self.today.data)
        self.took = {what: self._time(what) for what in MARKS}

    def _time(self, what: str) -> float:
        with self.home() as (home, backups):
            began = time.monotonic()
            work(what, home, backups, lambda _point: None)
            return time.monotonic() - began

    @contextmanager
    def home(self) -> Iterator[tuple[Settings, Path]]:
        """A copy of today, and a folder with yesterday's backup."""
        place = Path(tempfile.mkdtemp(dir=self.folder))
        shutil.copytree(self.today.data, place / "home")
        (place / "backups").mkdir()
        shutil.copyfile(self.kept, place / "backups" / "kept.tar")
        url = self.cluster.make(place.name, "today") if self.cluster else ""
        try:
            yield replace(self.today, data=place / "home", database_url=url), place / "backups"
        finally:
            if self.cluster:
                self.cluster.drop(place.name)
            shutil.rmtree(place)


def _settled(rows: Rows) -> dict[str, int]:
    """How many rows of the tables that only grow; enough to tell today from yesterday, whatever the epoch."""
    return {table: len(rows[table]) for table in ("record", "change_apart", "op_result_apart", "conflict")}


def work(what: str, home: Settings, backups: Path, mark: Mark) -> None:
    """What is killed: yesterday's backup is overwritten by today's, or is put back."""
    if what == "backup":
        make_backup(home, backups / "kept.tar", LATER, mark=mark)
    else:
        restore(home, backups / "kept.tar", no_key, LATER, mark=mark)


def killed(run: Callable[[Mark], None], at: str | float) -> bool:
    """Run something in a process of its own and kill that at a marked point or after a time; say whether in time."""
    pid = os.fork()
    if pid == 0:
        code = 1
        try:
            run(lambda point: os.kill(os.getpid(), signal.SIGKILL) if point == at else None)
            code = 0
        finally:
            os._exit(code)
    if isinstance(at, float):
        time.sleep(at)
        with suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    ended = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    assert ended in (0, -signal.SIGKILL), f"{at}: it failed by itself ({ended})"
    return ended != 0


def backup_round(ground: Ground, at: str | float) -> str:
    """Kill a backup. The folder holds yesterday's or today's whole backup, the data is untouched."""
    with ground.home() as (home, backups):
        killed(lambda mark: work("backup", home, backups, mark), at)
        found = files_in(home.data)
        rest = {
            name: found[name] for name in found if not name.startswith(".backup-") and name != "last_backup"
        }
        assert rest == ground.files and all_rows(home.database) == ground.rows
        with tempfile.TemporaryDirectory() as into:
            whole = read_backup(backups / "kept.tar", no_key, Path(into)).manifest
        old, new = ground.kept.read_bytes(), (backups / "kept.tar").read_bytes()
        assert new == old if whole.made_at == NOW else whole.tables["record"] == len(ground.rows["record"])
        make_backup(home, backups / "kept.tar", LATER)
        assert [path.name for path in backups.iterdir()] == ["kept.tar"]
        assert not list(home.data.glob(".backup-*"))
    return "old backup" if whole.made_at == NOW else "new backup"


def restore_round(ground: Ground, at: str | float) -> str:
    """Kill a restore. Whoever comes next finds all of today or all of yesterday, and today is kept somewhere."""
    with ground.home() as (home, backups):
        killed(lambda mark: work("restore", home, backups, mark), at)
        with used(home):
            rows = all_rows(home.database)
        kept = backups.joinpath("kept.tar").read_bytes() == ground.kept.read_bytes()
        assert kept and not (home.data / "restore_underway.json").exists()
        _photos_are_there(home, rows)
        if rows == ground.rows:
            for name in ("blobs", "server_id", "settings.toml", "keys"):
                assert _below(files_in(home.data), name).items() >= _below(ground.files, name).items()
            outcome = "old data"
        else:
            assert _settled(rows) == ground.yesterday
            assert rows["sync_clock"][0][1] != ground.rows["sync_clock"][0][1]
            _today_is_aside(home, ground)
            outcome = "backup put in"
        again = restore(home, backups / "kept.tar", no_key, LATER)
        assert again.aside is not None
        assert _settled(all_rows(home.database)) == ground.yesterday
        assert not [
            path for path in home.data.iterdir() if path.name.startswith((".restore-", "restore-staged-"))
        ]
    return outcome


def _below(files: dict[str, bytes], name: str) -> dict[str, bytes]:
    return {path: content for path, content in files.items() if path == name or path.startswith(f"{name}/")}


def _photos_are_there(home: Settings, rows: Rows) -> None:
    for row in rows["blob"]:
        assert (home.blobs / str(row[0]) / str(row[1])[:2] / str(row[1])).is_file(), row


def _today_is_aside(home: Settings, ground: Ground) -> None:
    if ground.cluster is None:
        (aside,) = home.data.glob("before-restore-*")
        assert all_rows(f"sqlite:///{aside / 'underboard.sqlite3'}") == ground.rows
        return
    (archive,) = home.data.glob("before-restore-*.tar")
    with tempfile.TemporaryDirectory() as into:
        assert read_backup(archive, no_key, Path(into)).manifest.tables["record"] == len(
            ground.rows["record"]
        )


ROUNDS = {"backup": backup_round, "restore": restore_round}


def campaign(database: str, what: str, rounds: int, seed: int) -> Counter[str]:
    """Run rounds, the marked points first; raises with the round that failed."""
    chance = random.Random(f"{seed} {database} {what}")
    outcomes: Counter[str] = Counter()
    folder = Path(tempfile.mkdtemp(prefix="underboard-kills-"))
    cluster = Cluster() if database == "postgres" else None
    try:
        ground = Ground(folder, cluster)
        points: list[str | float] = list(MARKS[what])
        for number in range(rounds):
            at = points[number] if number < len(points) else chance.uniform(0, 1.1 * ground.took[what])
            try:
                outcomes[ROUNDS[what](ground, at)] += 1
            except Exception as fault:
                raise AssertionError(
                    f"{database} {what}, round {number} of seed {seed}, killed at {at}"
                ) from fault
    finally:
        if cluster:
            cluster.stop()
        shutil.rmtree(folder, ignore_errors=True)
    return outcomes


def main() -> int:
    """The command `tests/faults/kill_backups`."""
    parser = argparse.ArgumentParser(description="Kill backups and restores at random moments.")
    parser.add_argument("--rounds", type=int, default=50, help="of each kind")
    parser.add_argument("--seed", type=int, default=int(time.time()))
    parser.add_argument("--database", choices=["sqlite", "postgres"], action="append")
    parser.add_argument("--what", choices=sorted(ROUNDS), action="append")
    asked = parser.parse_args()
    for database in asked.database or ["sqlite", "postgres"]:
        for what in asked.what or sorted(ROUNDS):
            began = time.monotonic()
            outcomes = campaign(database, what, asked.rounds, asked.seed)
            ends = ", ".join(f"{count} × {outcome}" for outcome, count in outcomes.most_common())
            print(
                f"{database} {what}: {ends}; {time.monotonic() - began:.0f} s, seed {asked.seed}", flush=True
            )
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
