"""`underboard devices`: which phones and loggers may come in; `--revoke ID` puts one out."""

from __future__ import annotations

import argparse
from datetime import UTC, datetime
from typing import Any

from underboard.cli.opening import add_command, answer, opened, settings_of
from underboard.cli.pair import choose_plot


def add(commands: Any) -> None:
    parser = add_command(commands, "devices", "List the devices of a plot, or put one out.", run)
    parser.add_argument("--plot", metavar="ID", help="which plot, when there are several")
    parser.add_argument("--revoke", metavar="ID", help="put this device out; its records stay")


def run(asked: argparse.Namespace) -> int:
    from underboard.store import people

    with opened(settings_of(asked)):
        plot_id = choose_plot(asked.plot)
        if asked.revoke:
            people.revoke(plot_id, asked.revoke, datetime.now(UTC), "command line")
        found = people.devices(plot_id)
    shown = [
        {
            "id": d.id,
            "name": d.name,
            "role": d.role,
            "last_seen_at": d.last_seen_at and d.last_seen_at.isoformat(),
        }
        for d in found
    ]
    lines = [f"{d['id']}  {d['name']} ({d['role']}), last seen {d['last_seen_at'] or 'never'}" for d in shown]
    return answer(asked, {"plot_id": plot_id, "devices": shown}, "\n".join(lines) or "No device is paired.")
