"""`underboard migrate`: bring the database to this version's newest step. `serve` does it too."""

from __future__ import annotations

import argparse
from typing import Any

from underboard.cli.opening import add_command, answer, settings_of, used


def add(commands: Any) -> None:
    add_command(commands, "migrate", "Bring the database up to date.", run)


def run(asked: argparse.Namespace) -> int:
    from underboard.store import migrate_to_head

    settings = settings_of(asked)
    with used(settings):
        changed = migrate_to_head(settings.database)
    return answer(asked, {"changed": changed}, "Brought up to date." if changed else "Already up to date.")
