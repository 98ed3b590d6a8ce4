"""What the commands share: `--data` and `--json`, opening the data folder, saying an answer."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from underboard.config import Settings


def add_command(
    commands: Any, name: str, doc: str, run: Callable[[argparse.Namespace], int]
) -> argparse.ArgumentParser:
    """Add one command with the options that all have."""
    parser: argparse.ArgumentParser = commands.add_parser(name, help=doc, description=doc)
    parser.add_argument("--data", type=Path, metavar="DIR", help="data folder (default: your own)")
    parser.add_argument("--json", action="store_true", help="answer as JSON")
    parser.set_defaults(run=run)
    return parser


def settings_of(asked: argparse.Namespace, **command_line: Any) -> Settings:
    from underboard.config import load_settings

    return load_settings(asked.data, **command_line)


@contextmanager
def used(settings: Settings) -> Iterator[None]:
    """Use the data folder together with others. A restore that was cut off is brought to its end first.

    Raises
    ------
    FolderInUse
        A restore is under way.
    """
    from underboard.data_folder import prepare_data_folder
    from underboard.store.backup.swapping import JOURNAL, finish_swap
    from underboard.store.folder_use import in_use

    if (settings.data / JOURNAL).exists():
        with in_use(settings.use_lock, alone=True):
            finish_swap(settings.data)
        print("A restore that was cut off has been brought to its end.", file=sys.stderr)
    prepare_data_folder(settings)
    with in_use(settings.use_lock):
        yield


@contextmanager
def opened(settings: Settings) -> Iterator[None]:
    """Bring the data folder up to date and give the store to the lines inside."""
    with used(settings):
        yield from _opened(settings)


def _opened(settings: Settings) -> Iterator[None]:
    from flask import Flask

    from underboard.store import db, init_database, migrate_to_head

    migrate_to_head(settings.database)
    app = Flask("underboard.commands", static_folder=None)
    app.config["SQLALCHEMY_DATABASE_URI"] = settings.database
    app.config["UNDERBOARD_HIGH_WATER"] = settings.high_water
    init_database(app)
    with app.app_context():
        try:
            yield
        finally:
            # SQLite must not be carried through a fork into the server's worker: its locks stay behind, and
            # whichever process closes first may take the other's log away (sqlite.org, "How to corrupt", 2.6).
            db.engine.dispose()


def answer(asked: argparse.Namespace, facts: dict[str, Any], text: str) -> int:
    """Print facts as JSON or the text for people."""
    print(json.dumps(facts, ensure_ascii=False) if asked.json else text)
    return 0
