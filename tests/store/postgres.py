"""A throw-away PostgreSQL cluster of our own, for tests: made, started, and removed again in about a second."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
from pathlib import Path

import psycopg

from tests.ports import free_port

BINARIES = Path("/usr/lib/postgresql/15/bin")


class Cluster:
    """One server on a free port of this machine. Nothing in it outlives the tests, so nothing is fsynced."""

    def __init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="underboard-pg-"))
        self.port = free_port()
        self._as = _unprivileged()
        if self._as:
            shutil.chown(self.folder, "postgres", "postgres")
        data = str(self.folder / "data")
        self._run(
            "initdb", "--no-sync", "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C", "-D", data
        )
        options = (
            f"-p {self.port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={self.folder}"
            " -c fsync=off -c full_page_writes=off -c max_connections=120 -c shared_buffers=64MB"
        )
        self._start = (
            "pg_ctl",
            "-w",
            "-t",
            "200",
            "-D",
            data,
            "-l",
            str(self.folder / "log"),
            "-o",
            options,
            "start",
        )
        self._run(*self._start)

    def url(self, database: str = "postgres") -> str:
        return f"postgresql://postgres@127.0.0.1:{self.port}/{database}"

    def make(self, database: str, template: str = "template0") -> str:
        """Make a database, a copy of `template`; return its URL."""
        with psycopg.connect(self.url(), autocommit=True) as connection:
            connection.execute(f'CREATE DATABASE "{database}" TEMPLATE "{template}"')
        return self.url(database)

    def drop(self, database: str) -> None:
        with psycopg.connect(self.url(), autocommit=True) as connection:
            connection.execute(f'DROP DATABASE IF EXISTS "{database}" WITH (FORCE)')

    def pause(self) -> None:
        """Stop the server for a while: every connection is cut off."""
        self._run("pg_ctl", "-w", "-t", "200", "-D", str(self.folder / "data"), "-m", "fast", "stop")

    def go_on(self) -> None:
        self._run(*self._start)

    def stop(self) -> None:
        self._run("pg_ctl", "-D", str(self.folder / "data"), "-m", "immediate", "stop")
        shutil.rmtree(self.folder, ignore_errors=True)

    def _run(self, program: str, *arguments: str) -> None:
        command = [*self._as, str(BINARIES / program), *arguments]
        # pg_ctl hands its standard output on to the server, which would keep a pipe open for ever.
        done = subprocess.run(
            command, stdout=subprocess.DEVNULL, stderr=subprocess.STDOUT, cwd="/", timeout=240, check=False
        )
        if done.returncode:
            log = self.folder / "log"
            told = log.read_text("utf-8") if log.exists() else ""
            raise RuntimeError(f"{program} ended with {done.returncode}. {told}")


def _unprivileged() -> list[str]:
    """PostgreSQL refuses to run as root; the package made a user for it."""
    if os.geteuid() != 0:
        return []
    pwd.getpwnam("postgres")
    return ["runuser", "-u", "postgres", "--"]
