"""What is killed: the whole browser, as a phone that loses its battery, or the one process that draws the page."""

from __future__ import annotations

import contextlib
import os
import signal
import time
from pathlib import Path

from playwright.sync_api import Error as BrowserError

from tests.browser.phone import Phone
from tests.browser.server import holds_on

VICTIMS = ("browser", "renderer")


def renderers(phone: Phone) -> list[int]:
    """Processes of this browser that draw pages. They are found by their parents: not all name the profile."""
    parents: dict[int, int] = {}
    drawing: set[int] = set()
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        with contextlib.suppress(OSError, IndexError, ValueError):
            pid = int(entry.name)
            parents[pid] = int((entry / "stat").read_text().rpartition(")")[2].split()[1])
            if b"--type=renderer" in (entry / "cmdline").read_bytes():
                drawing.add(pid)
    mine = set(phone.pids())
    return [pid for pid in drawing if mine & set(_line(pid, parents))]


def _line(pid: int, parents: dict[int, int]) -> list[int]:
    line = [pid]
    while (parent := parents.get(line[-1], 0)) > 1:
        line.append(parent)
    return line


def aim(phone: Phone, victim: str) -> list[int]:
    """Look up beforehand which processes are to be killed, so that the kill itself takes no time."""
    return phone.pids() if victim == "browser" else renderers(phone)


def kill(phone: Phone, victim: str, pids: list[int]) -> None:
    """SIGKILL, then open the same profile again: a new browser, or a new tab in the one that still runs."""
    if victim == "browser":
        phone.kill(pids)
        phone.open()
        return
    assert pids, "no renderer to kill"
    for pid in pids:
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    end = time.monotonic() + 60
    while any(holds_on(pid) for pid in pids) and time.monotonic() < end:
        time.sleep(0.01)
    dead = phone.page
    phone.page = phone.context.new_page()
    with contextlib.suppress(BrowserError):
        dead.close()
