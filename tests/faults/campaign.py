"""Many histories in a few processes, each with a database of its own; prints the seed of every failure."""

from __future__ import annotations

import argparse
import logging
import os
import shutil
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path

import structlog

from tests.browser.server import ServerProcess
from tests.faults.child import Verdict, bundle, histories
from tests.faults.house import House
from tests.faults.server_bugs import SERVER_BUGS, planted
from tests.store.postgres import Cluster
from underboard.config import Settings
from underboard.store import db, migrate_to_head
from underboard.web.app import create_app
from underboard.web.services import EXTENSION


@dataclass
class Outcome:
    """What a campaign found."""

    n: int = 0
    failing: list[Verdict] = field(default_factory=list)
    seconds: float = 0.0

    @property
    def kinds(self) -> Counter[str]:
        return Counter(kind for v in self.failing for kind in {found["kind"] for found in v.findings[:-1]})


def run_share(script: Path, url: str, folder: Path, seeds: range, bug: str, over: str) -> list[Verdict]:
    """Run some histories in this process, on the database at `url`; return those that failed."""
    quiet = structlog.make_filtering_bound_logger(logging.ERROR)
    structlog.configure(wrapper_class=quiet)
    folder.mkdir()
    app = create_app(Settings(data=folder, database_url=url, rate_limits=False, log_level="error"))
    house = House(app, app.extensions[EXTENSION].server_id)
    try:
        with planted(bug), _server(over, folder, url) as server:
            found = histories(house, script, seeds, bug, server)
            return [_told_at_length(verdict) for verdict in found if verdict.findings]
    finally:
        with app.app_context():
            db.engine.dispose()


def _told_at_length(verdict: Verdict) -> Verdict:
    """Write the story of a failure down; over HTTP another run of its seed may go another way."""
    path = Path(tempfile.gettempdir()) / f"underboard-history-{verdict.seed}.txt"
    found = [f"{one['kind']} {one['what']}" for one in verdict.findings]
    path.write_text("\n".join([*found, *verdict.story]), encoding="utf-8")
    return replace(verdict, findings=[*verdict.findings, {"kind": "STORY", "what": str(path)}], story=[])


@contextmanager
def _server(over: str, folder: Path, url: str) -> Iterator[str]:
    """Start the real server on this database, where the histories go over HTTP."""
    if over == "pipe":
        yield "pipe"
        return
    process = ServerProcess(folder).without_jobs().on(url).start()
    try:
        yield process.url
    finally:
        process.stop()


def campaign(
    database: str, first: int, n: int, jobs: int = 2, bug: str = "none", over: str = "http"
) -> Outcome:
    """Run histories with the seeds `first` to `first + n - 1`.

    Parameters
    ----------
    database
        `sqlite` or `postgres`.
    jobs
        Processes at work at once; each has its own database.
    over
        `http`: a real server behind a proxy that fails; `pipe`: calls into the app, needed for planted bugs
        of the server.
    """
    started = time.monotonic()
    outcome = Outcome(n)
    with _workplace() as folder, _databases(database, jobs, folder) as urls:
        script = bundle(folder)
        # Whoever looks at a screen meanwhile goes first, and histories take what is left: nobody waits for them.
        with ProcessPoolExecutor(jobs, initializer=os.nice, initargs=(5,)) as pool:
            work = [
                pool.submit(
                    run_share,
                    script,
                    url,
                    folder / f"job{job}",
                    range(first + job, first + n, jobs),
                    bug,
                    over,
                )
                for job, url in enumerate(urls)
            ]
            for done in work:
                outcome.failing += done.result()
    outcome.seconds = time.monotonic() - started
    return outcome


@contextmanager
def _workplace() -> Iterator[Path]:
    """A folder in memory where there is one: these histories crash phones and networks, not disks."""
    memory = Path("/dev/shm")
    folder = Path(tempfile.mkdtemp(prefix="underboard-", dir=memory if memory.is_dir() else None))
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _databases(kind: str, jobs: int, folder: Path) -> Iterator[list[str]]:
    cluster = Cluster() if kind == "postgres" else None
    try:
        urls = [
            cluster.make(f"histories_{job}") if cluster else f"sqlite:///{folder / f'{job}.sqlite3'}"
            for job in range(jobs)
        ]
        for url in urls:
            migrate_to_head(url)
        yield urls
    finally:
        if cluster:
            cluster.stop()


def main() -> int:
    """The command `tests/faults/run`."""
    parser = argparse.ArgumentParser(description="Random sync histories of real phones against the real app.")
    parser.add_argument("--seeds", type=int, default=2000, help="how many histories")
    parser.add_argument("--from", type=int, default=0, dest="first", help="first seed")
    parser.add_argument("--database", choices=["sqlite", "postgres", "both"], default="sqlite")
    parser.add_argument("--jobs", type=int, default=2)
    parser.add_argument("--bug", default="none", help="plant a known bug, to see that it is caught")
    parser.add_argument("--over", choices=["http", "pipe"], help="real sockets and a failing proxy, or calls")
    asked = parser.parse_args()
    # A wrong rule of the server can only be put into a server of this process.
    over = asked.over or ("pipe" if asked.bug in SERVER_BUGS else "http")
    half = asked.seeds // 2
    shares = {asked.database: (asked.first, asked.seeds)}
    if asked.database == "both":
        shares = {"sqlite": (asked.first, half), "postgres": (asked.first + half, asked.seeds - half)}
    found = [
        told(campaign(database, first, n, asked.jobs, asked.bug, over), database, over, asked.bug, asked.jobs)
        for database, (first, n) in shares.items()
    ]
    return 1 if any(outcome.failing for outcome in found) else 0


def told(outcome: Outcome, database: str, over: str, bug: str, jobs: int) -> Outcome:
    """Print what a campaign found; its first failures with their seeds."""
    for verdict in outcome.failing[:5]:
        print(f"seed {verdict.seed}:")
        for found in [*verdict.findings[:3], verdict.findings[-1]]:
            print(f"  {found['kind']} {found['what'][:600]}")
    each = 1000 * outcome.seconds * jobs / max(1, outcome.n)
    print(
        f"{outcome.n} histories on {database} over {over}, bug {bug}: {len(outcome.failing)} failing"
        f" {dict(outcome.kinds)}, {outcome.seconds:.0f} s, {each:.0f} ms of one process each",
        flush=True,
    )
    return outcome
