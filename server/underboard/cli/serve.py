"""`underboard serve`: bring the data up to date, say where to look, answer until stopped."""

from __future__ import annotations

import argparse
import os
import socket
import ssl
import threading
import time
from datetime import UTC, datetime
from errno import EADDRINUSE
from functools import partial
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urlsplit

from underboard.cli.opening import add_command, opened, settings_of, used
from underboard.config import SettingsError

if TYPE_CHECKING:
    from flask import Flask

    from underboard.cli.doors import Door, Place
    from underboard.cli.tending import State
    from underboard.config import Settings
    from underboard.web.services import Together

WORK_BEGINS_S = 2.0
_BEGAN = time.time()


def add(commands: Any) -> None:
    parser = add_command(commands, "serve", "Serve the phones of this data folder.", run)
    parser.add_argument("--host", help="address to listen on (default 127.0.0.1)")
    parser.add_argument("--port", help="port to listen on (default 8350)")
    parser.add_argument("--https-port", help="port for https (default 8443), once there is a certificate")
    parser.add_argument("--certificate", type=Path, metavar="PEM", help="another certificate for https")
    parser.add_argument("--key", type=Path, metavar="PEM", help="its private key (PKCS #8)")
    parser.add_argument("--no-jobs", action="store_true", help="look for no warnings and send none")
    parser.add_argument(
        "--workers",
        type=int,
        default=1,
        metavar="N",
        help="processes that answer (more than 1: PostgreSQL only)",
    )
    parser.add_argument("--began", type=int, metavar="NS", help=argparse.SUPPRESS)
    parser.add_argument(
        "--demo-if-empty", action="store_true", help="fill the invented plot into an empty folder"
    )


def run(asked: argparse.Namespace) -> int:
    from underboard.cli.house import note_certificate
    from underboard.cli.start_check import check_database
    from underboard.web.request_log import set_up_log

    settings = settings_of(asked, host=asked.host, port=asked.port, https_port=asked.https_port)
    doors = _doors(settings, asked)
    _check_workers(settings, asked.workers)
    for door in doors:
        _check_free(door)
    set_up_log(settings.log_level)
    # Held until the end, also by the workers that are forked below: no backup is put back under a server.
    with used(settings):
        check_database(settings)
        with opened(settings):
            note_certificate(settings, doors[-1].certificate)
            _get_ready(settings, asked.demo_if_empty)
            _say_where(settings, doors[-1])
        return _serve(settings, asked, doors)


def _doors(settings: Settings, asked: argparse.Namespace) -> list[Door]:
    """Plain http always; https as well when there is a certificate, from the command line or the data folder."""
    from underboard.certificates.keeping import Keeper
    from underboard.cli.doors import Door

    plain = Door(settings.host, settings.port)
    if bool(asked.certificate) != bool(asked.key):
        raise SettingsError("--certificate and --key belong together: give both.")
    own = Keeper(settings.data)
    if asked.certificate:
        secure = Door(settings.host, settings.https_port, asked.certificate, asked.key)
    elif settings.https and own.shown() is not None:
        secure = Door(settings.host, settings.https_port, own.server_file, own.server_file)
    else:
        return [plain]
    if settings.https_port == settings.port:
        raise SettingsError("http and https need a port each: choose another with --https-port.")
    return [plain, secure]


def _check_workers(settings: Settings, workers: int) -> None:
    if not 1 <= workers <= 64:
        raise SettingsError(f"--workers is a whole number from 1 to 64, not {workers}.")
    if workers > 1 and settings.sqlite_file is not None:
        raise SettingsError(
            "SQLite has one writer at a time, so more workers would only wait for each other: leave --workers out, "
            "or use PostgreSQL (database_url)."
        )


def _check_free(door: Door) -> None:
    try:
        family, kind, _, _, address = socket.getaddrinfo(
            door.host, door.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        with socket.socket(family, kind) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(address)
    except OSError as fault:
        running = (
            "if Underboard runs already, stop it there first; else " if fault.errno == EADDRINUSE else ""
        )
        raise SettingsError(
            f"Port {door.port} on {door.host} can't be used ({fault.strerror}): {running}choose another with "
            f"{'--https-port' if door.certificate else '--port'}."
        ) from fault


def _get_ready(settings: Settings, demo: bool) -> None:
    from underboard.store import people, restore

    for plot_id in restore.check_high_water(settings.high_water):
        print(f"Plot {plot_id}: an older database was put back. Phones will bring what it lacks.", flush=True)
    if demo and not people.plots():
        from underboard.cli.demo import fill

        print("No data yet: filling an invented plot …", flush=True)
        fill()


def _say_where(settings: Settings, door: Door) -> None:
    """Print the address and a code. The code goes to a file for this user alone as well."""
    from underboard.certificates.keeping import Keeper
    from underboard.cli.pair import square
    from underboard.data_folder import write_secret
    from underboard.store import people

    plots = people.plots()
    code = people.new_code(plots[-1] if plots else None, "owner", datetime.now(UTC), typed=True)
    write_secret(settings.claim_file, code.code)
    from underboard.cli.house import phone_address

    address = phone_address(settings) if door.certificate else settings.address()
    url = f"{address}/#pair={code.code}"
    print(square(url))
    what = "to join the plot" if plots else "to begin a plot of your own"
    print(
        f"Underboard answers at {address}\nPairing code {what}: {code.code} (one device, ten minutes)\nor open {url}"
    )
    if door.certificate:
        print(f"On this machine also {settings.address()}")
        if Keeper(settings.data).authority_file.is_file():
            host = urlsplit(address).hostname or ""
            host = f"[{host}]" if ":" in host else host
            print(f"A phone that does not trust it yet begins at http://{host}:{settings.port}/install-ca")
        if only_here(settings):
            print(
                "But phones do not reach it: it listens to this computer alone. Begin it with --host 0.0.0.0."
            )
    print(f"Data folder: {settings.data}", flush=True)


def only_here(settings: Settings) -> bool:
    """Whether nobody else reaches the server: it listens to this computer, and no proxy stands before it."""
    try:
        return not settings.public_url and ip_address(settings.host).is_loopback
    except ValueError:  # a name
        return not settings.public_url and settings.host == "localhost"


def _serve(settings: Settings, asked: argparse.Namespace, doors: list[Door]) -> int:
    from granian.errors import ConfigurationError

    from underboard.cli.doors import Doors
    from underboard.store.database import settle
    from underboard.web.services import Together

    try:
        # Whatever runs beside the requests runs in the first worker alone.
        server = Doors(doors, asked.workers)
        server.serve_with(partial(_load, settings, asked, doors[-1], os.getpid(), Together(shared=True)))
    except (ConfigurationError, ssl.SSLError) as fault:
        raise SettingsError(f"The server can't start: {fault}.") from fault
    finally:
        settle(settings.database)
    return 0


def _begin_work(
    app: Flask, settings: Settings, door: Door, jobs: bool, watcher: int, certificate: State | None
) -> None:
    import structlog

    try:
        from underboard.cli.working import start_tending, start_work

        if door.certificate is not None and door.key is not None and certificate is not None:
            start_tending(settings, (door.certificate, door.key), watcher, certificate)
        if jobs:
            start_work(app, settings, door.certificate)
    except Exception as fault:  # phones are served all the same; `doctor` says that the jobs are late
        structlog.get_logger("underboard").error("jobs not started", exc_info=fault)


def _load(
    settings: Settings,
    asked: argparse.Namespace,
    last: Door,
    watcher: int,
    together: Together,
    place: Place,
) -> Any:
    """Make the app in the worker process, and say that it answers: the port has been open for a while.

    No thread may run beside the parent when the worker is forked from it: a lock that the thread holds at that
    moment stays locked in the worker for ever.
    """
    from underboard.web.app import create_app
    from underboard.web.collecting import look_seldom
    from underboard.web.request_log import set_up_log

    set_up_log(settings.log_level)
    app = create_app(settings, https=last.certificate is not None, together=together)
    look_seldom()
    jobs = place.first and settings.jobs and not asked.no_jobs
    if jobs or place.certificate is not None:
        # What it needs takes a moment to load; phones should not wait for that, nor the first page.
        later = threading.Timer(
            WORK_BEGINS_S, _begin_work, (app, settings, last, jobs, watcher, place.certificate)
        )
        later.daemon = True
        later.start()
    if place.last and place.begins:
        began = asked.began / 1e9 if asked.began else _BEGAN
        print(f"Ready after {time.time() - began:.1f} s. Stop with Ctrl-C.", flush=True)
    return app
