"""The command `underboard`. Errors are one plain sentence and exit code 2; never a traceback.

Each command is a module with `add(subparsers)`; what it needs is imported when it runs, so that the command
starts quickly.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

from underboard import __version__

ELSEWHERE = {"calc": "underboard.cli.calc", "honesty": "underboard.cli.honesty"}
"""Commands that read their own words: name → module with `run(words) -> exit code`."""


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; return the exit code."""
    given = list(sys.argv[1:] if words is None else words)
    try:
        if given and given[0] in ELSEWHERE:
            from importlib import import_module

            return int(import_module(ELSEWHERE[given[0]]).run(given[1:]))
        asked = _parser().parse_args(given)
        return int(asked.run(asked))
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:
        # Whoever read our output has had enough; that is no error.
        sys.stderr.close()
        return 0
    except Exception as fault:
        return _complain(fault)


def _complain(fault: Exception) -> int:
    """Say what is wrong in a sentence; what nobody foresaw is named as such, with where it happened."""
    from underboard.config import SettingsError
    from underboard.core.errors import UnderboardError

    if isinstance(fault, SettingsError | UnderboardError):
        print(str(fault), file=sys.stderr)
        return 2
    if isinstance(fault, PermissionError):
        print(f"Not allowed to use {fault.filename}: check who owns the data folder.", file=sys.stderr)
        return 2
    last = fault.__traceback__
    while last is not None and last.tb_next is not None:
        last = last.tb_next
    where = f"{Path(last.tb_frame.f_code.co_filename).name}:{last.tb_lineno}" if last else "?"
    text = str(fault).splitlines()[0] if str(fault) else type(fault).__name__
    print(f"That did not work ({where}): {text}. `underboard doctor` may say why.", file=sys.stderr)
    return 2


def _parser() -> argparse.ArgumentParser:
    from underboard.cli import (
        backup,
        certificate,
        demo,
        devices,
        doctor,
        drill,
        export,
        import_file,
        members,
        migrate,
        pair,
        replay,
        report,
        restore,
        serve,
        warn,
        watch_folder,
        work,
    )

    parser = argparse.ArgumentParser(
        prog="underboard",
        description="Records slugs, wireworms and temperatures of a plot, and says what they mean.",
        epilog="Further: underboard calc (one calculation at a time), underboard honesty (simulated coverage).",
    )
    parser.add_argument("--version", action="version", version=f"underboard {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")
    answering, kept = (serve, work, pair), (report, export, import_file, watch_folder, backup, restore, drill)
    house = (certificate, members, devices)
    for module in (*answering, *house, demo, warn, replay, *kept, migrate, doctor):
        module.add(commands)
    return parser
