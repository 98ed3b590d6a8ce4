"""Several processes on one PostgreSQL: workers that answer, and one that does the scheduled work."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import create_engine, text

from tests.browser.server import ServerProcess
from tests.cli.test_serving import asked, epoch_of, pair, pushed
from tests.store.postgres import Cluster

PUSH = "/api/v1/sync/push"


@contextmanager
def at_work(data: Path, url: str) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, "-m", "underboard", "work", "--data", str(data)]
    environment = {**os.environ, "UNDERBOARD_DATABASE_URL": url}
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=environment) as process:
        try:
            yield process
        finally:
            process.kill()


def test_two_workers_answer_and_one_process_looks_for_warnings(
    tmp_path: Path, postgres: Cluster, migrated_postgres: str
) -> None:
    url = postgres.make("workers", migrated_postgres)
    server = ServerProcess(tmp_path).on(url).start("--workers", "2", "--no-jobs")
    try:
        assert len(server.pids()) >= 3
        status, phone = pair(server, (tmp_path / "keys" / "claim_code").read_text().strip())
        assert status == 200, phone
        epoch = epoch_of(server, phone)
        bearer = {"Authorization": f"Bearer {phone['token']}"}

        def push(number: int) -> int:
            return asked(server, "POST", PUSH, pushed(phone, epoch, f"note {number}"), **bearer)[0]

        with ThreadPoolExecutor(8) as phones:
            assert set(phones.map(push, range(24))) == {200}
        path = f"/api/v1/sync/pull?plot={phone['plot_id']}&limit=100"
        records = asked(server, "GET", path, **bearer)[1]["records"]
        assert sorted(one["body"]["text"] for one in records) == sorted(f"note {n}" for n in range(24))
        assert runs(url) == 0
        with at_work(tmp_path, url) as work:
            deadline = time.monotonic() + 150
            while not runs(url) and time.monotonic() < deadline:
                time.sleep(0.2)
            assert runs(url) > 0
            work.send_signal(signal.SIGTERM)
            assert work.wait(timeout=120) == 0
    finally:
        server.stop()


def runs(url: str) -> int:
    """Passes over plots that were done."""
    engine = create_engine(url.replace("postgresql://", "postgresql+psycopg://"))
    with engine.connect() as connection:
        done = connection.scalar(text("SELECT count(*) FROM job_run WHERE state = 'done'"))
    engine.dispose()
    return int(done or 0)


def test_sqlite_is_not_given_to_several_workers(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "underboard", "serve", "--data", str(tmp_path / uuid.uuid4().hex)]
    done = subprocess.run([*command, "--workers", "2"], capture_output=True, text=True, timeout=180)
    assert done.returncode == 2 and "PostgreSQL" in done.stderr
