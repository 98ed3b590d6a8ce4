"""Ports for the servers of the tests."""

from __future__ import annotations

import os
import random
import re
import socket

FIRST, PER_WORKER, WORKERS = 12_000, 1_200, 15
_given: set[int] = set()


def free_port() -> int:
    """A port that nobody has, and that is not given to anybody else before its server binds it, or while it restarts.

    The system gives out ports from 32768 on to whoever asks for any, browsers and their connections above all; so ours
    lie below those, and each of the processes that run tests beside each other takes them from a range of its own.
    """
    worker = re.sub(r"\D", "", os.environ.get("PYTEST_XDIST_WORKER", ""))
    first = FIRST + PER_WORKER * (int(worker or 0) % WORKERS)
    while True:
        port = random.SystemRandom().randrange(first, first + PER_WORKER)
        with socket.socket() as probe:
            try:
                probe.bind(("127.0.0.1", port))
            except OSError:
                continue
        if port not in _given:
            _given.add(port)
            return port
