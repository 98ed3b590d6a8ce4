"""`underboard work`: the scheduled work alone, beside servers that only answer phones (`serve --no-jobs`)."""

from __future__ import annotations

import argparse
import signal
import threading
from typing import Any

from underboard.cli.opening import add_command, opened, settings_of, used


def add(commands: Any) -> None:
    add_command(
        commands, "work", "Look for warnings, send them and keep backups, without serving phones.", run
    )


def run(asked: argparse.Namespace) -> int:
    from underboard.cli.start_check import check_database
    from underboard.cli.working import start_work
    from underboard.web.app import create_app
    from underboard.web.request_log import set_up_log

    settings = settings_of(asked)
    set_up_log(settings.log_level)
    told = threading.Event()
    for name in (signal.SIGTERM, signal.SIGINT):
        signal.signal(name, lambda _number, _frame: told.set())
    with used(settings):
        check_database(settings)
        with opened(settings):
            pass  # brings the database up to date; of several processes that try, one does it
        ticker = start_work(create_app(settings), settings)
        print("At work. Stop with Ctrl-C.", flush=True)
        told.wait()
        ticker.stop()
    return 0
