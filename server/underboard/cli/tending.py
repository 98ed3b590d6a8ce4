"""The server looks after its certificate: renews it in time, and shows a new one without being stopped."""

from __future__ import annotations

import os
import signal
import ssl
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import structlog

from underboard.certificates.keeping import Keeper
from underboard.certificates.own_names import found_addresses

EVERY_S = 15

State = tuple[tuple[int, int], ...]


def state_of(files: tuple[Path, ...]) -> State:
    """What tells one writing of these files from the next."""

    def of(file: Path) -> tuple[int, int]:
        try:
            facts = file.stat()
        except OSError:
            return (0, 0)
        return (facts.st_mtime_ns, facts.st_ino)

    return tuple(of(file) for file in files)


class Tending:
    """What the server asks for every quarter of a minute.

    Parameters
    ----------
    keeper : the certificate's files; None when the server shows one that was named on the command line.
    files : certificate and key that the server reads when it starts.
    show_anew : makes the server read them again.
    shown : how the files stood before the server read them; None: as they stand now. A server takes seconds to begin,
        and what is written meanwhile is to be seen too.
    """

    def __init__(
        self,
        keeper: Keeper | None,
        files: tuple[Path, Path],
        show_anew: Callable[[], None],
        now: Callable[[], datetime],
        shown: State | None = None,
    ) -> None:
        self._keeper = keeper
        self._files = files
        self._show_anew = show_anew
        self._now = now
        self._shown = state_of(files) if shown is None else shown

    def tend(self) -> None:
        """Renew if it is time; have the server show whatever is new in the files, by whomever it was written."""
        log = structlog.get_logger("underboard")
        if self._keeper is not None and self._keeper.renew_if_due(self._now(), found_addresses()):
            log.info("certificate renewed")
        state = state_of(self._files)
        if state == self._shown:
            return
        self._shown = state
        try:
            ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(*map(str, self._files))
        except (OSError, ssl.SSLError) as fault:
            log.error("new certificate not taken", words=str(fault))
            return
        self._show_anew()


def restart_workers(watcher: int) -> None:
    """Have the watching process start its workers again, one by one, while the old ones finish what they do."""
    if hasattr(signal, "SIGHUP"):
        os.kill(watcher, signal.SIGHUP)
    else:
        structlog.get_logger("underboard").warning("new certificate: restart the server to show it")
