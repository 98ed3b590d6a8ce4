"""Mail servers to send to."""

from __future__ import annotations

import email
import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from email.message import EmailMessage
from email.policy import default
from pathlib import Path
from typing import Any, cast

import pytest

SCRIPT = Path(__file__).with_name("smtp_server.py")


@dataclass
class MailServerProcess:
    """One mail server in a process of its own."""

    port: int
    folder: Path
    process: subprocess.Popen[str]

    @property
    def mails(self) -> list[EmailMessage]:
        """Everything it has taken, in order."""
        files = sorted(self.folder.glob("*.eml"))
        return [
            cast(EmailMessage, email.message_from_bytes(file.read_bytes(), policy=default)) for file in files
        ]


@contextmanager
def mail_servers(tmp_path: Path) -> Iterator[Callable[..., MailServerProcess]]:
    """Start mail servers; options as in `smtp_server`."""
    running: list[MailServerProcess] = []

    def start(**options: Any) -> MailServerProcess:
        folder = tmp_path / f"mails{len(running)}"
        folder.mkdir()
        command = [sys.executable, "-W", "ignore", str(SCRIPT), str(folder), json.dumps(options)]
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
        assert process.stdout is not None
        running.append(MailServerProcess(int(process.stdout.readline()), folder, process))
        return running[-1]

    yield start
    for one in running:
        one.process.kill()
        one.process.wait()
        assert one.process.stdout is not None
        one.process.stdout.close()


@pytest.fixture
def mail_server(tmp_path: Path) -> Iterator[Callable[..., MailServerProcess]]:
    with mail_servers(tmp_path) as start:
        yield start
