"""Real server processes and real Chromium profiles for the browser tests."""

from __future__ import annotations

import fcntl
import os
import shutil
import time
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from playwright.sync_api import Playwright, expect

from tests.browser.phone import Phone, starts_offline
from tests.browser.server import ServerProcess
from tests.browser.small_plot import LONG, new_plot

# The library's five seconds are short where three workers share two cores; speed is the bench's business.
expect.set_options(timeout=LONG)
JUST_BEFORE_MIDNIGHT_S = 150


@pytest.fixture(scope="session")
def demo_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo plot in `data` and its id in `plot`, filled once for all workers of a run."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "demo"
    folder.mkdir(exist_ok=True)
    with (folder / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not (folder / "plot").exists():
            (folder / "data").mkdir(exist_ok=True)
            made = ServerProcess(folder / "data").run("demo")["plot_id"]
            (folder / "plot").write_text(made, encoding="ascii")
    return folder


@pytest.fixture(scope="session")
def demo_plot(demo_made: Path) -> str:
    """The id of the demo plot."""
    return (demo_made / "plot").read_text(encoding="ascii")


@pytest.fixture(scope="session")
def demo_in(demo_made: Path, demo_plot: str) -> Callable[[Path], str]:
    """Put a copy of the demo's data into an empty folder, and return the plot's id."""

    def put(data: Path) -> str:
        shutil.copytree(demo_made / "data", data, dirs_exist_ok=True)
        return demo_plot

    return put


@pytest.fixture(autouse=True, scope="module")
def one_day() -> None:
    """Tests that are about today begin and end on one day of their plots."""
    now = datetime.now(ZoneInfo("Europe/London"))
    left = (24 * 60 - now.hour * 60 - now.minute) * 60 - now.second
    if left < JUST_BEFORE_MIDNIGHT_S:
        time.sleep(left + 1)


@pytest.fixture
def server(tmp_path: Path) -> Iterator[ServerProcess]:
    """A server with an empty data folder, not started yet."""
    data = tmp_path / "data"
    data.mkdir()
    process = ServerProcess(data)
    yield process
    process.stop()


@pytest.fixture(scope="session")
def home(tmp_path_factory: pytest.TempPathFactory, migrated_sqlite: Path) -> Iterator[ServerProcess]:
    """One running server for all tests of a process; each has a plot of its own."""
    process = ServerProcess(tmp_path_factory.mktemp("data"))
    shutil.copyfile(migrated_sqlite, process.data / "underboard.sqlite3")
    process.start()
    yield process
    process.stop()


@pytest.fixture
def plot(home: ServerProcess) -> str:
    """A plot with two boards and today's round (small_plot.py)."""
    return new_plot(home)


@pytest.fixture(scope="session")
def seen_before(
    playwright: Playwright, home: ServerProcess, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """What a browser has kept of somebody who looked at `home` once: the client's files and their worker, no more.

    To fetch and to compile them is a third of the work of a phone that joins. Those of other servers do all of it.
    """
    phone = Phone(playwright, tmp_path_factory.mktemp("seen") / "before", home.url)
    starts_offline(phone.go("/"))
    phone.close()
    end = time.monotonic() + LONG / 1_000
    while phone.pids() and time.monotonic() < end:  # what it still writes would be copied by half
        time.sleep(0.05)
    return phone.profile


@pytest.fixture
def new_phone(
    request: pytest.FixtureRequest, playwright: Playwright, tmp_path: Path
) -> Iterator[Callable[..., Phone]]:
    """Make phones; all of them are closed at the end."""
    phones: list[Phone] = []

    def make(url: str, name: str = "phone", **options: object) -> Phone:
        if url == at_home and not options:
            shutil.copytree(request.getfixturevalue("seen_before"), tmp_path / name)
        phone = Phone(playwright, tmp_path / name, url, **options)
        phones.append(phone)
        return phone

    at_home = request.getfixturevalue("home").url if uses_home(request) else ""
    yield make
    for phone in phones:
        phone.close()


def uses_home(request: pytest.FixtureRequest) -> bool:
    """Whether a test asks for the server that all files share; some have one of that name for themselves."""
    return "home" in request.fixturenames and isinstance(request.getfixturevalue("home"), ServerProcess)
