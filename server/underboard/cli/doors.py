"""The server's two doors: http for this machine and for the page that explains, https for phones.

Granian listens at one address. Workers under its one watcher, each with an address and a certificate of its own,
give both doors the same care: they are started, watched, ended and (on SIGHUP) renewed together. Several workers
may stand at one door; the kernel hands each connection to one of them (SO_REUSEPORT).

The watcher holds the socket of each worker open. One that takes another's place finds there whoever came meanwhile:
a worker needs seconds to begin, and nobody is turned away while a renewed certificate is taken up.
"""

from __future__ import annotations

import socket
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any, Final

from granian.constants import Interfaces, SSLProtocols
from granian.server.mp import MPServer, WorkerProcess

from underboard.cli.tending import State, state_of

THREADS: Final = 8
WAITING: Final = 1024
"""Connections that may wait at one door."""


@dataclass(frozen=True)
class Door:
    """Where to listen; with a certificate and its key (PEM files, or one file for both) by https."""

    host: str
    port: int
    certificate: Path | None = None
    key: Path | None = None


@dataclass(frozen=True)
class Place:
    """Which worker one is: the first of all, the last of all, there for the first time.

    `certificate`: in the first worker of a door with one, how its files stood before this worker read them.
    """

    first: bool
    last: bool
    begins: bool
    certificate: State | None


class Doors(MPServer):
    """`each` workers a door. The app is loaded by `load(place)` in every one."""

    def __init__(self, doors: list[Door], each: int = 1) -> None:
        super().__init__(
            "underboard",
            address=doors[0].host,
            port=doors[0].port,
            interface=Interfaces.WSGI,
            workers=len(doors) * each,
            backpressure=WAITING,
            blocking_threads=THREADS,
            log_enabled=False,
            workers_kill_timeout=5,
            respawn_interval=1.0,
        )
        self._each = each
        self._doors = [door for door in doors for _ in range(each)]
        self._sockets: dict[int, tuple[Any, ...]] = {}
        self._opened: set[int] = set()

    def serve_with(self, load: Callable[[Place], Any]) -> None:
        """Answer until told to stop."""
        self.serve(target_loader=load, wrap_loader=False)

    def _init_shared_socket(self) -> None:
        for number, door in enumerate(self._doors):
            self.bind_addr, self.bind_port = door.host, door.port
            super()._init_shared_socket()  # type: ignore[no-untyped-call]
            if self._ssp is not None:  # on Linux each worker would open its own, and shut out who waits there
                self._shd = self._ssp.build()
                self._sfd = self._shd.get_fd()
                self._sso = socket.socket(fileno=self._sfd)
                self._sso.set_inheritable(True)
            self._sockets[number] = (None, self._shd, self._sfd, self._sso)
            self._shd = None

    def _spawn_worker(  # type: ignore[override]  # as granian's own does
        self, idx: int, target: Any, callback_loader: Callable[..., Any]
    ) -> WorkerProcess:
        door = self._doors[idx]
        self._ssp, self._shd, self._sfd, self._sso = self._sockets[idx]
        before = None
        if door.certificate is not None and door.key is not None and idx % self._each == 0:
            before = state_of((door.certificate, door.key))
        # Read anew for each worker, so that one that is started again shows a renewed certificate. TLS 1.2 is for
        # loggers; the server's library has none of its weak ciphers.
        self.build_ssl_context(door.certificate, door.key, None, SSLProtocols.tls12, None, [], False)
        place = Place(idx == 0, idx == len(self._doors) - 1, idx not in self._opened, before)
        self._opened.add(idx)
        return super()._spawn_worker(idx, target, partial(callback_loader, place))

    def _drop_shared_socket(self) -> None:
        for *_, shared in self._sockets.values():
            self._sso = shared
            super()._drop_shared_socket()  # type: ignore[no-untyped-call]
