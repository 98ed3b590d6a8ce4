"""One of several servers leads; the lead goes over when its holder is gone."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import psycopg

from tests.store.postgres import Cluster
from underboard.store.leading import FileLead, PostgresLead, lead_of

HOLD = "import sys, time; from pathlib import Path; from underboard.store.leading import FileLead;"
HOLD += " lead = FileLead(Path(sys.argv[1])); print(lead.held(), flush=True); time.sleep(600)"


def test_a_file_is_led_by_one_and_goes_over_when_it_is_killed(tmp_path: Path) -> None:
    file = tmp_path / "jobs.lock"
    other = subprocess.Popen([sys.executable, "-c", HOLD, str(file)], stdout=subprocess.PIPE, text=True)
    assert other.stdout is not None
    assert other.stdout.readline() == "True\n"
    mine = FileLead(file)
    assert not mine.held()
    assert not mine.held()
    os.kill(other.pid, signal.SIGKILL)
    other.wait()
    other.stdout.close()
    assert mine.held()
    assert mine.held()
    third = FileLead(file)
    assert not third.held()
    mine.give_up()
    assert third.held()
    third.give_up()


def test_a_file_that_cannot_be_made_stops_nobody(tmp_path: Path) -> None:
    assert FileLead(tmp_path / "nowhere" / "jobs.lock").held()


def test_postgresql_is_led_by_one_connection_and_goes_over_when_it_is_cut(postgres: Cluster) -> None:
    url = postgres.make("leading")
    one, other = (
        PostgresLead(url),
        lead_of(f"postgresql+psycopg{url.removeprefix('postgresql')}", Path("unused")),
    )
    assert one.held() and one.held()
    assert not other.held()
    cut = "SELECT pg_terminate_backend(pid) FROM pg_locks WHERE locktype = 'advisory' AND granted"
    with psycopg.connect(url, autocommit=True) as connection:
        assert connection.execute(cut).fetchall() == [(True,)]
    assert not one.held()
    assert other.held()
    assert not one.held()
    other.give_up()
    assert one.held()
    one.give_up()


def test_a_database_that_is_away_leads_nobody(postgres: Cluster) -> None:
    lead = PostgresLead(postgres.url("no_such_database"))
    assert not lead.held()
