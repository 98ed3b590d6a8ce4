"""The invented demo plot: two seasons of one smallholding, the same for the same seed and day.

`scenario_ops` yields what each of three phones would have pushed, in order, as operations of the sync
protocol. Nothing here was measured; the plot's name and note say so, and so does the screen.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from underboard.exchange.demo.chance import Chance
from underboard.exchange.demo.ground import Ground, lay_out
from underboard.exchange.demo.growing import growing_ops
from underboard.exchange.demo.mornings import morning_ops
from underboard.exchange.demo.quarrels import quarrel_ops
from underboard.exchange.demo.scenario import load_scenario
from underboard.exchange.demo.trapping import trap_ops
from underboard.exchange.demo.weather import Weather

__all__ = ["member_names", "scenario_ops"]

Said = tuple[str, dict[str, Any]]


def member_names() -> tuple[tuple[str, str, str], ...]:
    """Return (member name, role, phone name) for each of the three people of the demo."""
    return tuple((m["name"], m["role"], m["phone"]) for m in load_scenario().members)


def scenario_ops(
    plot_id: str, device_ids: Sequence[str], today: date, seed: int = 20260311
) -> Iterator[Said]:
    """Yield `(device_id, operation)` in the order in which the phones pushed them.

    Parameters
    ----------
    plot_id
        The plot that the operations are for; record ids depend on it, so that two demo plots never share one.
    device_ids
        The devices of the three members, in the order of `member_names`.
    today
        The local date of the plot. Rounds end the day before, so that today's round is still to do.
    seed
        The same seed, plot and day give the same operations.
    """
    scenario = load_scenario()
    years = season_years(today)
    chance = Chance(seed, plot_id)
    weather = Weather(scenario, chance, years, today)
    ground: Ground = lay_out(scenario, chance, plot_id, years)
    parts = (
        ground.ops,
        growing_ops(scenario, ground, chance, years, today),
        trap_ops(scenario, ground, weather, chance, years, today),
        morning_ops(scenario, ground, weather, chance, years, today),
        quarrel_ops(ground, chance),
    )
    for part in parts:
        for member, op in part:
            yield device_ids[member], op


def season_years(today: date) -> tuple[int, int]:
    """Return the years of the two seasons told: the last one has at least reached June."""
    last = today.year if today.month >= 6 else today.year - 1
    return last - 1, last
