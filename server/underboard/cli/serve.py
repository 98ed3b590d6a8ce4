"""`underboard serve`: bring the data up to date, say where to look, answer until stopped."""

from __future__ import annotations

import argparse
import socket
import threading
import time
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from underboard.cli.opening import add_command, opened, settings_of
from underboard.config import SettingsError

if TYPE_CHECKING:
    from flask import Flask

    from underboard.config import Settings

THREADS = 8
WORK_BEGINS_S = 2.0
_BEGAN = time.time()


def add(commands: Any) -> None:
    parser = add_command(commands, "serve", "Serve the phones of this data folder.", run)
    parser.add_argument("--host", help="address to listen on (default 127.0.0.1)")
    parser.add_argument("--port", help="port to listen on (default 8350)")
    parser.add_argument("--certificate", type=Path, metavar="PEM", help="certificate for https")
    parser.add_argument("--key", type=Path, metavar="PEM", help="its private key (PKCS #8)")
    parser.add_argument("--no-jobs", action="store_true", help="look for no warnings and send none")
    parser.add_argument("--began", type=int, metavar="NS", help=argparse.SUPPRESS)
    parser.add_argument(
        "--demo-if-empty", action="store_true", help="fill the invented plot into an empty folder"
    )


def run(asked: argparse.Namespace) -> int:
    from underboard.cli.house import note_certificate
    from underboard.web.request_log import set_up_log

    settings = settings_of(asked, host=asked.host, port=asked.port)
    _check_free(settings)
    set_up_log(settings.log_level)
    with opened(settings):
        note_certificate(settings, asked.certificate)
        _get_ready(settings, asked.demo_if_empty)
        _say_where(settings, "https" if asked.certificate else "http")
    return _serve(settings, asked)


def _check_free(settings: Settings) -> None:
    try:
        family, kind, _, _, address = socket.getaddrinfo(
            settings.host, settings.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        with socket.socket(family, kind) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(address)
    except OSError as fault:
        raise SettingsError(
            f"Port {settings.port} on {settings.host} can't be used ({fault.strerror}): choose another with --port."
        ) from fault


def _get_ready(settings: Settings, demo: bool) -> None:
    from underboard.store import people, restore

    for plot_id in restore.check_high_water(settings.high_water):
        print(f"Plot {plot_id}: an older database was put back. Phones will bring what it lacks.", flush=True)
    if demo and not people.plots():
        from underboard.cli.demo import fill

        print("No data yet: filling an invented plot …", flush=True)
        fill()


def _say_where(settings: Settings, scheme: str) -> None:
    """Print the address and a code. The code goes to a file for this user alone as well."""
    from underboard.cli.pair import square
    from underboard.config import write_secret
    from underboard.store import people

    plots = people.plots()
    code = people.new_code(plots[-1] if plots else None, "owner", datetime.now(UTC), typed=True)
    write_secret(settings.claim_file, code.code)
    address = settings.address(scheme)
    url = f"{address}/#pair={code.code}"
    print(square(url))
    what = "to join the plot" if plots else "to begin a plot of your own"
    print(
        f"Underboard answers at {address}\nPairing code {what}: {code.code} (one device, ten minutes)\nor open {url}"
    )
    print(f"Data folder: {settings.data}", flush=True)


def _serve(settings: Settings, asked: argparse.Namespace) -> int:
    from granian import Granian
    from granian.constants import Interfaces
    from granian.errors import ConfigurationError

    from underboard.store.database import settle

    # One worker: whatever runs beside the requests must run once, and SQLite has one writer anyway.
    server = Granian(
        "underboard",
        address=settings.host,
        port=settings.port,
        interface=Interfaces.WSGI,
        workers=1,
        blocking_threads=THREADS,
        log_enabled=False,
        ssl_cert=asked.certificate,
        ssl_key=asked.key,
        workers_kill_timeout=5,
    )
    try:
        server.serve(target_loader=partial(_load, settings, asked), wrap_loader=False)
    except ConfigurationError as fault:
        raise SettingsError(f"The server can't start: {fault}.") from fault
    finally:
        settle(settings.database)
    return 0


def _begin_work(app: Flask, settings: Settings, certificate: Path | None) -> None:
    import structlog

    try:
        from underboard.cli.working import start_work

        start_work(app, settings, certificate)
    except Exception as fault:  # phones are served all the same; `doctor` says that the jobs are late
        structlog.get_logger("underboard").error("jobs not started", exc_info=fault)


def _load(settings: Settings, asked: argparse.Namespace) -> Any:
    """Make the app in the worker process, and say that it answers: the port has been open for a while.

    No thread may run beside the parent when the worker is forked from it: a lock that the thread holds at that
    moment stays locked in the worker for ever.
    """
    from underboard.web.app import create_app
    from underboard.web.request_log import set_up_log

    set_up_log(settings.log_level)
    app = create_app(settings)
    if settings.jobs and not asked.no_jobs:
        # What it needs takes a moment to load; phones should not wait for that, nor the first page.
        later = threading.Timer(WORK_BEGINS_S, _begin_work, (app, settings, asked.certificate))
        later.daemon = True
        later.start()
    began = asked.began / 1e9 if asked.began else _BEGAN
    print(f"Ready after {time.time() - began:.1f} s. Stop with Ctrl-C.", flush=True)
    return app
