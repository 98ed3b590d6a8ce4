"""Many phones at once while everything under the server fails: nothing acknowledged is lost, answers stay clear.

tests/faults/crowd --phones 200 --seconds 60 [--database sqlite|postgres] [--seed 1]

While the phones push and pull, one after the other: the server itself is killed and started, the database restarts
(PostgreSQL is stopped and started; the SQLite file is locked by another program), the disk under the data folder
fills, and the job runs over all plots.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import json
import signal
import sqlite3
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import AsyncIterator, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager, closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median

from tests.browser.server import ServerProcess
from tests.faults.crowd_phone import Crowd, Phone
from tests.faults.house import House
from tests.faults.nastiest.conftest import house_on
from tests.faults.small_disk import SmallDisk, small_disk
from tests.store.postgres import Cluster
from underboard.cli.serve import WORK_BEGINS_S
from underboard.cli.working import passing_of
from underboard.jobs.turns import Turns
from underboard.web.services import EXTENSION

IN_A_PLOT = 10
DISK_MB = 160
MOST_GROWTH_MB = 24
"""How much more memory the server may take at its worst than once it was warm: all phones at it, its jobs begun."""
SAMPLE_S = 0.25


@dataclass
class Scene:
    """The server under its crowd, and what is under the server."""

    house: House
    server: ServerProcess
    disk: SmallDisk
    cluster: Cluster | None
    crowd: Crowd = field(default_factory=Crowd)
    rss_mb: list[float] = field(default_factory=list)
    warm_mb: float = 0.0
    warm_from: int = 0
    """What the server took when it was warm, and from which sample on that is compared."""
    recovered_s: dict[str, float] = field(default_factory=dict)
    passes: int = 0
    pids: list[int] = field(default_factory=list)


@contextmanager
def scene(database: str) -> Iterator[Scene]:
    cluster = Cluster() if database == "postgres" else None
    try:
        with (
            tempfile.TemporaryDirectory(prefix="underboard-crowd-") as folder,
            small_disk(Path(folder) / "home", DISK_MB) as disk,
        ):
            url = cluster.make("crowd") if cluster else ""
            with house_on(disk.folder, url) as house:
                server = ServerProcess(disk.folder)
                if url:
                    server.on(url)
                try:
                    yield Scene(house, server.start(), disk, cluster, pids=server.pids())
                finally:
                    disk.make_room()
                    server.stop()
    finally:
        if cluster:
            cluster.stop()


def phones_of(one: Scene, count: int, seed: int) -> list[Phone]:
    """So many phones, ten to a plot."""
    made: list[Phone] = []
    while len(made) < count:
        for known in one.house.do_open(min(IN_A_PLOT, count - len(made))):
            number = seed * 100_000 + len(made)
            made.append(Phone(one.crowd, one.server.port, known["paired"], known["token"], number))
    return made


async def run(one: Scene, count: int, seconds: float, seed: int) -> None:
    phones, stop = phones_of(one, count, seed), asyncio.Event()
    pause = max(0.3, count / 60)
    tasks = [asyncio.create_task(phone.live(stop, pause)) for phone in phones]
    watch = asyncio.create_task(_watch(one))
    try:
        await asyncio.sleep(seconds * 0.15)
        for trouble in (server_dies, database_restarts, disk_fills, job_runs):
            name = trouble.__name__
            print(f"{name} …", flush=True)
            async with trouble(one, seconds):
                await asyncio.sleep(seconds * 0.06)
            await _recovers(one, name)
            if trouble is server_dies:
                await _warms_up(one)
            await asyncio.sleep(seconds * 0.08)
        stop.set()
        await asyncio.wait_for(asyncio.gather(*tasks), timeout=120)
    finally:
        watch.cancel()
        for task in tasks:
            task.cancel()


async def _recovers(one: Scene, name: str) -> None:
    """Wait until a push goes through again; nobody helps."""
    began = asyncio.get_running_loop().time()
    while not one.crowd.good_at or one.crowd.good_at[-1] < began:
        await asyncio.sleep(0.05)
        if asyncio.get_running_loop().time() - began > 120:
            raise AssertionError(f"After {name} no push went through for two minutes.")
    one.recovered_s[name] = one.crowd.good_at[-1] - began


async def _warms_up(one: Scene) -> None:
    """Wait until the jobs have begun, which load a part of the program, and the memory grows no more."""
    await asyncio.sleep(WORK_BEGINS_S + 1)
    until = asyncio.get_running_loop().time() + 20
    while asyncio.get_running_loop().time() < until:
        last = one.rss_mb[-6:]
        if max(last) - min(last) < 1:
            break
        await asyncio.sleep(SAMPLE_S)
    one.warm_mb, one.warm_from = median(one.rss_mb[-6:]), len(one.rss_mb)


@asynccontextmanager
async def database_restarts(one: Scene, seconds: float) -> AsyncIterator[None]:
    if one.cluster is not None:
        await asyncio.to_thread(one.cluster.pause)
        await asyncio.to_thread(_says_that_it_is_sick, one.server)
        yield
        await asyncio.to_thread(one.cluster.go_on)
        return
    with closing(sqlite3.connect(one.disk.folder / "underboard.sqlite3", isolation_level=None)) as holder:
        holder.execute("PRAGMA busy_timeout=60000")
        holder.execute("BEGIN IMMEDIATE")
        yield
        # Longer than a request of the server waits, when there is time for that.
        await asyncio.sleep(12.0 if seconds >= 40 else 0.0)
        holder.execute("ROLLBACK")


def _says_that_it_is_sick(server: ServerProcess) -> None:
    for _ in range(600):
        try:
            urllib.request.urlopen(f"{server.url}/healthz", timeout=30).close()
        except urllib.error.HTTPError as fault:
            with fault:
                assert "database does not answer" in json.loads(fault.read())["why"][0]
                return
        time.sleep(0.1)
    raise AssertionError("It says that it is well without its database.")


@asynccontextmanager
async def disk_fills(one: Scene, _seconds: float) -> AsyncIterator[None]:
    await asyncio.to_thread(one.disk.fill, one.pids)
    for _ in range(400 if one.cluster is None else 0):  # PostgreSQL lies on another disk
        if any(what.endswith(("disk-full", "storage")) for what in one.crowd.answers):
            break
        await asyncio.sleep(0.05)
    else:
        assert one.cluster is not None, "Nobody met the full disk."
    yield
    one.disk.make_room()


@asynccontextmanager
async def job_runs(one: Scene, _seconds: float) -> AsyncIterator[None]:
    """A second server that finds every plot due and passes over them, beside the one that serves."""

    def passes() -> int:
        settings = one.house.app.extensions[EXTENSION].settings
        with one.house.app.app_context():
            return len(Turns(passing_of(settings)).run_due())

    # The server's own job may have been at every plot in this minute; records keep coming, so in the next they are due.
    end = time.monotonic() + 90
    while not one.passes and time.monotonic() < end:
        one.passes = await asyncio.to_thread(passes)
        await asyncio.sleep(0.2)
    yield


@asynccontextmanager
async def server_dies(one: Scene, _seconds: float) -> AsyncIterator[None]:
    await asyncio.to_thread(one.server.stop, signal.SIGKILL)
    yield
    await asyncio.to_thread(one.server.start)
    one.pids = await asyncio.to_thread(one.server.pids)


async def _watch(one: Scene) -> None:
    """Note the memory of the server's processes a few times a second."""
    while True:
        with contextlib.suppress(OSError):  # it is being killed just now
            one.rss_mb.append(sum(_rss_mb(pid) for pid in one.pids))
        await asyncio.sleep(SAMPLE_S)


def _rss_mb(pid: int) -> float:
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    return 0.0


def judged(one: Scene) -> list[str]:
    """What is wrong: acknowledged records that are not there or came twice, unclear answers, memory that grew."""
    faults = list(one.crowd.wrong[:5])
    plots = {plot for plot, _ in one.crowd.acked.values()}
    found: dict[str, tuple[str, str]] = {}
    changes = 0
    for plot in plots:
        one.house.plot = plot
        truth = one.house.do_truth()
        notes = [record for record in truth["records"] if "text" in record["body"]]  # the job writes others
        found |= {record["id"]: (plot, record["body"]["text"]) for record in notes}
        changes += sum("text" in change["set"] for change in truth["changes"])
    lost = [id_ for id_, kept in one.crowd.acked.items() if found.get(id_) != kept]
    if lost:
        faults.append(f"LOST: {len(lost)} of {len(one.crowd.acked)} acknowledged, such as {lost[:3]}")
    if len(found) != len(one.crowd.acked) or changes != len(found):
        faults.append(f"{len(one.crowd.acked)} acknowledged, {len(found)} records, {changes} changes")
    if not one.crowd.acked or not one.passes:  # the server's own job may have been first at some plots
        faults.append(f"{len(one.crowd.acked)} records, {one.passes} passes over {len(plots)} plots")
    return faults + grown(one.warm_mb, one.rss_mb[one.warm_from :])


def grown(warm_mb: float, later_mb: list[float]) -> list[str]:
    """What is wrong with the memory of a server that was warm when it took `warm_mb`."""
    if not warm_mb or not later_mb:
        return ["its memory was not looked at"]
    most = max(later_mb)
    return [f"memory grew from {warm_mb:.0f} to {most:.0f} MB"] if most - warm_mb > MOST_GROWTH_MB else []


def told(one: Scene) -> str:
    """What was seen, for people."""
    back = ", ".join(f"{name} {seconds:.1f} s" for name, seconds in one.recovered_s.items())
    answers = ", ".join(f"{count} × {what}" for what, count in one.crowd.answers.most_common())
    rss = one.rss_mb
    return (
        f"{len(one.crowd.acked)} records acknowledged, {one.passes} passes of the job; answers: {answers}\n"
        f"back to work after: {back}\n"
        f"memory of the server's processes: {rss[0]:.0f} MB at first, {one.warm_mb:.0f} when it was warm, then"
        f" {max(rss[one.warm_from :]):.0f} at most, {rss[-1]:.0f} at the end"
    )


def crowd(database: str, count: int, seconds: float, seed: int) -> list[str]:
    """Run it, print what was seen, return what was wrong."""
    with scene(database) as one:
        with ThreadPoolExecutor(1) as aside:  # a loop may be running in this thread already
            aside.submit(asyncio.run, run(one, count, seconds, seed)).result()
        faults = judged(one)
        print(told(one), flush=True)
    return faults


def main() -> int:
    """The command `tests/faults/crowd`."""
    parser = argparse.ArgumentParser(description="Many phones while everything under the server fails.")
    parser.add_argument("--phones", type=int, default=200)
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--database", choices=["sqlite", "postgres"], action="append")
    parser.add_argument("--seed", type=int, default=int(time.time()) % 10_000)
    asked = parser.parse_args()
    ended = 0
    for database in asked.database or ["sqlite", "postgres"]:
        print(f"{database}: {asked.phones} phones, seed {asked.seed}", flush=True)
        faults = crowd(database, asked.phones, asked.seconds, asked.seed)
        for fault in faults:
            print(f"WRONG: {fault}", file=sys.stderr)
        ended |= bool(faults)
    return ended


if __name__ == "__main__":
    raise SystemExit(main())
