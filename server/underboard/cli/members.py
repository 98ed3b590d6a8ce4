"""`underboard members`: who belongs to a plot, by its own records."""

from __future__ import annotations

import argparse
from typing import Any

from underboard.cli.opening import add_command, answer, opened, settings_of
from underboard.cli.pair import choose_plot


def add(commands: Any) -> None:
    parser = add_command(commands, "members", "List the people of a plot.", run)
    parser.add_argument("--plot", metavar="ID", help="which plot, when there are several")


def run(asked: argparse.Namespace) -> int:
    from underboard.store import pulling

    with opened(settings_of(asked)):
        plot_id = choose_plot(asked.plot)
        records = pulling.records_of(plot_id, ("member",))
    people = [{"name": r["body"].get("name"), "role": r["body"].get("role")} for r in records]
    lines = [f"{person['name']} ({person['role']})" for person in people]
    return answer(
        asked, {"plot_id": plot_id, "members": people}, "\n".join(lines) or "Nobody has written a name yet."
    )
