"""The daily backup: when it is due, who makes it, what happens when it fails, and what people hear of it."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

import pytest
from flask import Flask

from underboard.cli.backup import daily_backup
from underboard.cli.backup_check import backups, failed_backup
from underboard.cli.house import house_of
from underboard.config import Settings
from underboard.core.errors import BackupFailed
from underboard.core.warnings import RULES
from underboard.data_folder import prepare_data_folder
from underboard.jobs.backups import BACKUP, LEASE, SERVER, BackupTurns
from underboard.jobs.passing import Passing
from underboard.store import job_runs, people, pulling

AT = time(2, 45)
EVENING = datetime(2026, 6, 1, 20, 0, tzinfo=UTC)


class TurnedClock:
    """A clock that a test turns."""

    def __init__(self, now: datetime) -> None:
        self.time = now

    def now(self) -> datetime:
        return self.time

    def monotonic(self) -> float:
        return self.time.timestamp()

    def sleep(self, seconds: float) -> None:
        self.time += timedelta(seconds=seconds)


class Maker:
    """Notes the moments of backups, and fails while the disk is unplugged."""

    def __init__(self) -> None:
        self.made: list[str] = []
        self.unplugged = False
        self.asked = 0

    def __call__(self, now: datetime) -> None:
        self.asked += 1
        if self.unplugged:
            raise BackupFailed("There is no folder /mnt/kept: make it, or plug in the disk it is on.")
        self.made.append(f"{now:%d. %H:%M}")


@pytest.fixture
def clock() -> TurnedClock:
    return TurnedClock(EVENING)


@pytest.fixture
def maker() -> Maker:
    return Maker()


@pytest.fixture
def turns(database_app: Flask, maker: Maker, clock: TurnedClock) -> Iterator[BackupTurns]:
    people.create_plot()
    yield BackupTurns(maker, AT, clock)


def every_minute(turns: BackupTurns, clock: TurnedClock, until: datetime, step: int = 15) -> None:
    while clock.time < until:
        turns.run_due()
        clock.sleep(step * 60)


def test_once_a_day_at_its_time_and_at_once_when_there_is_none(
    turns: BackupTurns, clock: TurnedClock, maker: Maker
) -> None:
    every_minute(turns, clock, EVENING + timedelta(days=2))
    assert maker.made == ["01. 20:00", "02. 02:45", "03. 02:45"]


def test_a_machine_that_was_off_makes_up_for_one(
    turns: BackupTurns, clock: TurnedClock, maker: Maker
) -> None:
    turns.run_due()
    clock.time += timedelta(days=9)
    every_minute(turns, clock, clock.time + timedelta(hours=3))
    assert maker.made == ["01. 20:00", "10. 20:00"]


def test_a_day_that_failed_is_tried_each_hour_and_doctor_says_why(
    turns: BackupTurns, clock: TurnedClock, maker: Maker
) -> None:
    turns.run_due()
    maker.unplugged = True
    every_minute(turns, clock, datetime(2026, 6, 2, 5, 30, tzinfo=UTC))
    assert maker.asked == 1 + 4  # 02:45, 03:00, 04:00, 05:00
    newest = job_runs.runs(BACKUP, SERVER, 1)[0]
    assert newest.state == "failed" and newest.fault is not None and "/mnt/kept" in newest.fault
    maker.unplugged = False
    every_minute(turns, clock, datetime(2026, 6, 2, 23, 0, tzinfo=UTC))
    assert maker.made == ["01. 20:00", "02. 06:00"]
    assert job_runs.runs(BACKUP, SERVER, 1)[0].state == "done"


def test_of_two_servers_one_makes_it_and_a_dead_one_is_followed(
    turns: BackupTurns, clock: TurnedClock, maker: Maker, database_app: Flask
) -> None:
    results: list[bool] = []

    def turn() -> None:
        with database_app.app_context():
            results.append(BackupTurns(maker, AT, clock).run_due())

    threads = [threading.Thread(target=turn) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(results) == [False, False, False, True] and len(maker.made) == 1
    # One that dies at it leaves its claim behind; when the lease is over it is made after all.
    clock.time = datetime(2026, 6, 2, 2, 45, tzinfo=UTC)
    assert job_runs.claim(BACKUP, SERVER, clock.time, clock.time, LEASE) is not None
    every_minute(turns, clock, datetime(2026, 6, 2, 3, 40, tzinfo=UTC))
    assert len(maker.made) == 1
    every_minute(turns, clock, datetime(2026, 6, 2, 8, 0, tzinfo=UTC))
    assert maker.made[1:] == ["02. 03:45"]


def test_a_server_without_plots_has_nothing_to_back_up(
    database_app: Flask, maker: Maker, clock: TurnedClock
) -> None:
    assert BackupTurns(maker, AT, clock).run_due() is False and maker.asked == 0


def test_when_backups_go_well_nobody_is_nagged_and_when_they_stop_all_are(
    database_app: Flask, database_url: str, tmp_path: Path
) -> None:
    """Real backups by the real turn, and what the rule and `doctor` make of them."""
    settings = Settings(data=tmp_path / "home", database_url=database_url, backup_folder="kept", backup_daily=3,
                        backup_weekly=0, backup_monthly=0)  # fmt: skip
    prepare_data_folder(settings)
    plot = people.create_plot()
    start = datetime.now(UTC)
    people.add_device(plot, "phone", "owner", start - timedelta(days=40))
    passing = Passing(house_of(settings), rules=[RULES["backup_old"]])
    clock = TurnedClock(start)
    turns = BackupTurns(daily_backup(settings), AT, clock)

    def standing() -> list[str]:
        passing.run(plot, clock.time)
        found = pulling.records_of(plot, ("warning",))
        return [one["body"]["headline"] for one in found if one["body"].get("state") not in ("over", "ended")]

    assert ["There is no backup yet" in one for one in standing()] == [True]
    assert next(iter(backups(settings))).level == "note"
    for _ in range(5):
        assert turns.run_due()
        clock.time += timedelta(days=1)
    assert len(list((settings.data / "kept").glob("*.tar"))) == 3
    ended = passing.run(plot, clock.time).decision
    assert [held.rule for held in ended.held] == ["backup_old"] and not ended.due
    assert list(failed_backup(settings)) == []
    unplugged = replace(settings, backup_folder=str(tmp_path / "stick"))
    assert not BackupTurns(daily_backup(unplugged), AT, clock).run_due() and not (tmp_path / "stick").exists()
    (failed,) = failed_backup(unplugged)
    assert failed.level == "trouble" and "plug in" in failed.words
    clock.time += timedelta(days=15)
    assert len(passing.run(plot, clock.time).decision.due) == 1
