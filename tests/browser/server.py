"""A real `underboard serve` process on a port of its own, with its own data folder."""

from __future__ import annotations

import io
import json
import os
import signal
import subprocess
import sys
import time
import urllib.request
from contextlib import redirect_stderr, redirect_stdout, suppress
from datetime import UTC, datetime
from http.client import HTTPException
from pathlib import Path
from typing import Any

from flask import Flask

from tests.ports import free_port
from underboard.cli import main
from underboard.store import db, init_database, people

__all__ = ["ServerProcess", "free_port", "holds_on"]


def holds_on(pid: int) -> bool:
    """Is something left of a process that was killed? Its files, and the locks on them, outlive its command line."""
    process = Path(f"/proc/{pid}")
    with suppress(OSError, IndexError):
        ended = (process / "stat").read_text().rpartition(")")[2].split()[0] == "Z"
        return not ended or len(list((process / "task").iterdir())) > 1
    return False


class ServerProcess:
    """Starts, stops and kills the server; runs the other commands on the same data folder."""

    def __init__(self, data: Path, port: int | None = None) -> None:
        self.data = data
        self.port = port or free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self._process: subprocess.Popen[bytes] | None = None
        self._environment = {**os.environ, "UNDERBOARD_RATE_LIMITS": "off", "PYTHONWARNINGS": "default"}

    def here(self, *words: str) -> Any:
        """The same as `run` in this process, which has read all of the program already: a tenth of the work."""
        assert "UNDERBOARD_DATABASE_URL" not in self._environment
        said, complaint = io.StringIO(), io.StringIO()
        with redirect_stdout(said), redirect_stderr(complaint):
            code = main([*words, "--data", str(self.data), "--json"])
        assert code == 0, f"{words}: {said.getvalue()}\n{complaint.getvalue()}"
        return json.loads(said.getvalue())

    def run(self, *words: str) -> Any:
        """Run one command with `--data` and `--json`; return what it answered."""
        command = [sys.executable, "-m", "underboard", *words, "--data", str(self.data), "--json"]
        done = subprocess.run(command, capture_output=True, text=True, env=self._environment, timeout=240)
        assert done.returncode == 0, f"{words}: {done.stdout}\n{done.stderr}"
        return json.loads(done.stdout)

    def without_jobs(self) -> ServerProcess:
        """Look for no warnings by itself: the test says when, with `run("warn", "--at", …)`."""
        self._environment["UNDERBOARD_JOBS"] = "off"
        return self

    def with_limits(self) -> ServerProcess:
        """Count tries, as every server does that is not in a test."""
        self._environment["UNDERBOARD_RATE_LIMITS"] = "on"
        return self

    def on(self, database_url: str) -> ServerProcess:
        """Work on this database instead of the one in the data folder."""
        self._environment["UNDERBOARD_DATABASE_URL"] = database_url
        return self

    def start(self, *words: str, seconds: float = 120) -> ServerProcess:
        """Run `underboard serve` with these words behind it, and wait until it answers."""
        self.launch(*words)
        try:
            self.wait_until_up(seconds)
        except AssertionError:
            self.stop(signal.SIGKILL)  # nobody else knows of it
            raise
        return self

    def launch(self, *words: str) -> None:
        """The same without waiting."""
        command = [
            sys.executable,
            "-m",
            "underboard",
            "serve",
            "--data",
            str(self.data),
            "--port",
            str(self.port),
            *words,
        ]
        log = (self.data / "serve.log").open("ab")
        self._process = subprocess.Popen(command, stdout=log, stderr=log, env=self._environment)
        log.close()

    def wait_until_up(self, seconds: float = 120) -> None:
        deadline = time.monotonic() + seconds
        while time.monotonic() < deadline and (self._process is None or self._process.poll() is None):
            try:
                with urllib.request.urlopen(f"{self.url}/healthz", timeout=10) as answer:
                    if answer.status == 200:
                        return
            except (OSError, HTTPException):
                time.sleep(0.1)
        raise AssertionError((self.data / "serve.log").read_text(encoding="utf-8")[-3000:])

    def stop(self, how: int = signal.SIGTERM) -> None:
        """End the server and everything it started; SIGKILL gives it no time to tidy up."""
        if self._process is None:
            return
        process, self._process = self._process, None
        children = _children_of(process.pid) if how == signal.SIGKILL else []
        for pid in (process.pid, *children):
            with suppress(ProcessLookupError):
                os.kill(pid, how)
        try:
            process.wait(timeout=120)
        except subprocess.TimeoutExpired:
            process.kill()  # nobody else knows of it
            raise
        deadline = time.monotonic() + 60
        while any(
            holds_on(pid) for pid in children
        ):  # they hold the port and the database until they are gone
            assert time.monotonic() < deadline, f"something is left of {children}"
            time.sleep(0.01)

    def pids(self) -> list[int]:
        """The server's processes: the one that watches and its workers."""
        assert self._process is not None
        return [self._process.pid, *_children_of(self._process.pid)]

    def code_for(self, plot_id: str | None, role: str = "owner") -> str:
        """A pairing code as `underboard pair` makes it; None: for the owner of a new plot.

        Written by this process, since a process for each code took more of the tests' time than the pages did.
        """
        url = self._environment.get(
            "UNDERBOARD_DATABASE_URL", f"sqlite:///{self.data / 'underboard.sqlite3'}"
        )
        app = Flask("underboard-codes", static_folder=None)
        app.config["SQLALCHEMY_DATABASE_URI"] = url
        init_database(app)
        with app.app_context():
            try:
                return people.new_code(plot_id, role, datetime.now(UTC)).code
            finally:
                db.engine.dispose()

    def bearer(self, plot_id: str, name: str = "script") -> dict[str, str]:
        """Pair a script and return the headers that it sends."""
        body = json.dumps({"code": self.code_for(plot_id), "device_name": name, "want": "token"}).encode()
        answer = self.call("POST", "/api/v1/pair", body=body)
        return {"Authorization": f"Bearer {answer['token']}"}

    def call(
        self, method: str, path: str, body: bytes | None = None, headers: dict[str, str] | None = None
    ) -> Any:
        request = urllib.request.Request(self.url + path, data=body, method=method)
        for name, value in {"Content-Type": "application/json", **(headers or {})}.items():
            request.add_header(name, value)
        with urllib.request.urlopen(request, timeout=60) as answer:
            return json.loads(answer.read())

    def photo(self, plot_id: str, sha256: str, headers: dict[str, str]) -> bytes:
        """The bytes of a photo, as whoever looks at its record gets them."""
        path = f"/api/v1/plots/{plot_id}/blobs/{sha256}"
        with urllib.request.urlopen(
            urllib.request.Request(self.url + path, headers=headers), timeout=60
        ) as answer:
            return bytes(answer.read())

    def records(self, plot_id: str, headers: dict[str, str]) -> list[dict[str, Any]]:
        """Pull the whole plot as a script would."""
        found: list[dict[str, Any]] = []
        cursor = ""
        while True:
            path = f"/api/v1/sync/pull?plot={plot_id}&limit=1000{cursor}"
            page = self.call("GET", path, headers=headers)
            found += page["records"]
            cursor = f"&cursor={page['cursor']}"
            if not page["more"]:
                return found


def _children_of(pid: int) -> list[int]:
    found = []
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                parent = int((entry / "stat").read_text().rpartition(")")[2].split()[1])
            except (OSError, IndexError, ValueError):
                continue
            if parent == pid:
                found += [int(entry.name), *_children_of(int(entry.name))]
    return found
