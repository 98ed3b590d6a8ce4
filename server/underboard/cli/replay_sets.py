"""The public nights and the public weekly series that come with the source checkout."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

import underboard
from underboard.config import SettingsError
from underboard.core.warnings.replay import Replayed, answer_of
from underboard.core.warnings.replay_frost import PublicNight, replay_public_frost
from underboard.core.warnings.replay_surge import replay_series

FOLDER: Final = Path(underboard.__file__).parents[2] / "fixtures" / "outside"
NIGHTS: Final = ("greensboro", "lga_2013", "pittsburgh", "port_angeles")
SERIES: Final = "agona"
#: Farrington needs three years of weeks before it, EARS C2 nine, the yardstick twenty: weeks counted from 0.
WEEKS: Final = {"ears_c2": (20, 311), "farrington": (208, 311)}


def replay_nights(name: str, cost: float, loss: float) -> dict[str, Any]:
    """Replay frost over one set of nights, or over `all`: clear nights, and all nights beside them."""
    names = NIGHTS if name == "all" else (name,)
    clear, every = [], []
    for one in names:
        nights = _nights(one)
        clear.append(replay_public_frost(nights, cost, loss))
        every.append(replay_public_frost(nights, cost, loss, all_nights=True))
    found = answer_of(_joined(clear), cost, loss)
    return {"nights": name, **found, "all_nights": answer_of(_joined(every), cost, loss)}


def replay_weeks(method: str, cost: float, loss: float) -> dict[str, Any]:
    """Replay surges over the weekly series beside a published method."""
    counts = [int(row["count"]) for row in _rows(FOLDER / "salmonella_agona_weekly.csv")]
    return {"nights": SERIES, **answer_of(replay_series(counts, method, *WEEKS[method]), cost, loss)}


def _joined(parts: list[Replayed]) -> Replayed:
    first = parts[0]
    calls = tuple(call for part in parts for call in part.calls)
    return Replayed(first.rule, calls, first.published, first.event, first.says)


def _nights(name: str) -> list[PublicNight]:
    path = FOLDER / f"frost_{name}.csv" if name in NIGHTS else Path(name)
    rows = _rows(path)
    try:
        return [
            PublicNight(float(row["T0_C"]), float(row["Td0_C"]), float(row["Tmin_C"]), row["clear"] == "True")
            for row in rows
        ]
    except (KeyError, TypeError, ValueError) as fault:
        raise SettingsError(
            f"{path}: nights need the columns T0_C, Td0_C, Tmin_C (°C) and clear (True or False): {fault}."
        ) from fault


def _rows(path: Path) -> list[dict[str, str]]:
    if not path.is_file():
        known = ", ".join((*NIGHTS, "all", SERIES))
        raise SettingsError(
            f"--nights: there is no file {path}; give a CSV file, or in a source checkout one of {known}."
        )
    with path.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(_lines(table)))


def _lines(table: Iterable[str]) -> Iterable[str]:
    return (line for line in table if line.strip())
