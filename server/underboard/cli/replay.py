"""`underboard replay`: how a rule would have done over past seasons, beside doing without it."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from datetime import date
from typing import Any

from underboard.cli.opening import add_command, answer, opened, settings_of
from underboard.config import SettingsError


def add(commands: Any) -> None:
    parser = add_command(
        commands, "replay", "Ask a rule again over past seasons, and hold it against what came.", run
    )
    parser.add_argument("--rule", required=True, metavar="NAME", help="frost, surge, or any other rule")
    parser.add_argument("--from", dest="first", metavar="DAY", help="first day, YYYY-MM-DD (default: all)")
    parser.add_argument("--to", dest="last", metavar="DAY", help="last day, YYYY-MM-DD (default: all)")
    parser.add_argument("--plot", metavar="ID", help="which plot (default: the only one)")
    parser.add_argument(
        "--nights",
        metavar="SET",
        help="public data instead of a plot: greensboro, lga_2013, pittsburgh, port_angeles, all, a CSV file, or "
        "agona for surges",
    )
    parser.add_argument(
        "--beside", choices=("ears_c2", "farrington"), default="ears_c2", help="published method for agona"
    )
    parser.add_argument("--cost", type=float, help="what acting costs (public data; default 4)")
    parser.add_argument("--loss", type=float, help="what a miss costs (public data; default 60)")


def run(asked: argparse.Namespace) -> int:
    found = _public(asked) if asked.nights else _stored(asked)
    return answer(asked, found, _text(found))


def _public(asked: argparse.Namespace) -> dict[str, Any]:
    from underboard.cli.replay_sets import SERIES, replay_nights, replay_weeks
    from underboard.core.warnings.replay import USUAL_COST, USUAL_LOSS

    cost = USUAL_COST if asked.cost is None else asked.cost
    loss = USUAL_LOSS if asked.loss is None else asked.loss
    if cost < 0 or loss < 0:
        raise SettingsError("--cost and --loss are from 0 up.")
    if asked.rule == "frost" and asked.nights != SERIES:
        return replay_nights(asked.nights, cost, loss)
    if asked.rule == "surge" and asked.nights == SERIES:
        return replay_weeks(asked.beside, cost, loss)
    raise SettingsError(
        f"--nights {asked.nights} goes with the rule {'surge' if asked.nights == SERIES else 'frost'}."
    )


def _stored(asked: argparse.Namespace) -> dict[str, Any]:
    from underboard.core.errors import UnknownPlot
    from underboard.core.warnings.replays import replay_of
    from underboard.store import people
    from underboard.store.seasons import all_facts

    first, last = _day(asked.first, "--from"), _day(asked.last, "--to")
    with opened(settings_of(asked)):
        plots = people.plots()
        if asked.plot and asked.plot not in plots:
            raise UnknownPlot(asked.plot)
        if not asked.plot and len(plots) != 1:
            raise SettingsError(f"There are {len(plots)} plots here: say which with --plot.")
        plot_id = asked.plot or plots[0]
        return {"plot_id": plot_id, **replay_of(all_facts(plot_id), asked.rule, first, last)}


def _day(text: str | None, option: str) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as fault:
        raise SettingsError(f"{option}: {text!r} is not a day; say it like 2026-04-01.") from fault


def _text(found: Mapping[str, Any]) -> str:
    beside = found["beside"]
    lines = [
        f"{found['rule']}: {found['n']} occasions judged. What counts as having come: {found['event']}.",
        "",
        _row("", "hits", "misses", "false", "quiet", "POD", "FAR", "CSI", "cost"),
        _figures("the rule", found),
        _figures("always", beside["always"]),
        _figures("never", beside["never"]),
        _figures("published", beside["published"]),
        "",
        f"Published method: {beside['published']['method']}.",
        f"Brier score {_number(found['brier'], 3)} (of the usual share {_number(found['brier_climatology'], 3)}; "
        f"0 is perfect); lead {_number(found['lead_hours'], 1)} h.",
    ]
    lines += [
        f"  said {100 * one['mean_p']:.0f} %: came {100 * one['observed']:.0f} % of {one['n']}"
        for one in found["reliability"]
    ]
    return "\n".join([*lines, *found["says"]])


def _figures(name: str, table: Mapping[str, Any]) -> str:
    counts = [str(table[key]) for key in ("hits", "misses", "false_alarms", "correct_negatives")]
    shares = [_number(table[key], 2) for key in ("pod", "far", "csi")]
    return _row(name, *counts, *shares, f"{table['cost']:g}")


def _row(name: str, *cells: str) -> str:
    return f"{name:<10}" + "".join(f"{cell:>8}" for cell in cells)


def _number(value: float | None, digits: int) -> str:
    return "-" if value is None else f"{value:.{digits}f}"
