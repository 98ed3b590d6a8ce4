"""`underboard pair`: a one-time code that lets one device in."""

from __future__ import annotations

import argparse
import sys
from datetime import UTC, datetime
from typing import Any

from underboard.cli.house import phone_address
from underboard.cli.opening import add_command, answer, opened, settings_of


def add(commands: Any) -> None:
    parser = add_command(commands, "pair", "Make a one-time code that lets one device in.", run)
    parser.add_argument("--plot", metavar="ID", help="which plot, when there are several")
    parser.add_argument("--new-plot", action="store_true", help="the device begins a plot of its own")
    parser.add_argument("--role", choices=("owner", "helper", "reader"), default="owner")
    parser.add_argument("--show-code", action="store_true", help="print the code as JSON, for scripts")
    parser.add_argument("--address", metavar="URL", help="where the phone reaches this server")


def run(asked: argparse.Namespace) -> int:
    from underboard.store import people

    settings = settings_of(asked)
    with opened(settings):
        plot_id = None if asked.new_plot else choose_plot(asked.plot)
        code = people.new_code(plot_id, asked.role, datetime.now(UTC), typed=not asked.show_code)
    address = (asked.address or phone_address(settings)).rstrip("/")
    url = f"{address}/#pair={code.code}"
    facts = {"code": code.code, "url": url, "plot_id": plot_id, "expires_at": code.expires_at.isoformat()}
    asked.json = asked.json or asked.show_code
    if not asked.json:
        print(square(url))
    return answer(
        asked, facts, f"Open {url}\nor type the code {code.code}. It lets one device in, for ten minutes."
    )


def choose_plot(wanted: str | None) -> str:
    """Return the plot to act on: the one that was named, or the only one there is.

    Raises
    ------
    UnknownPlot, SettingsError
    """
    from underboard.config import SettingsError
    from underboard.core.errors import UnknownPlot
    from underboard.store import people

    known = people.plots()
    if wanted is not None:
        if wanted not in known:
            raise UnknownPlot(wanted)
        return wanted
    if not known:
        raise SettingsError("There is no plot yet: begin one with `underboard pair --new-plot`.")
    if len(known) > 1:
        listed = ", ".join(known)
        raise SettingsError(f"There are several plots; say which with --plot ID: {listed}.")
    return known[0]


def square(url: str) -> str:
    """Return a QR code for the terminal; empty where the terminal cannot show its blocks."""
    import io

    import segno

    out = io.StringIO()
    segno.make(url, error="m").terminal(out, compact=True, border=2)
    try:
        out.getvalue().encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return ""
    return out.getvalue()
