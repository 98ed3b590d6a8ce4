"""When will what was sown come up?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.agronomy.warmth.crops import DAYS_TO_EMERGE, thermal_time, worst_misfit

#: The two printed copies of the table differ by up to a day.
COPIES_DIFFER_BY_D: Final = 1.0
#: Days whose mean stands for the days to come, when daily temperatures are given.
_RECENT_DAYS: Final = 5


@dataclass(frozen=True)
class Emergence:
    """Days from sowing to emergence.

    Attributes
    ----------
    days
        Days from sowing [d]; None when it is too cold to come up.
    low_days, high_days
        `days` widened by the worst misfit of the line on its own table and by the day in which the
        copies of the table differ [d]. Not a 95 % interval.
    share_done
        Share of the warmth needed that has been had [0 to 1]; None for a single temperature.
    base_c
        Temperature below which nothing happens [°C].
    thermal_time_c_d
        Warmth needed above it [°C·d].
    """

    days: float | None
    low_days: float | None
    high_days: float | None
    share_done: float | None
    base_c: float
    thermal_time_c_d: float
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def emergence(crop: str, soil_c: float | Sequence[float]) -> Emergence:
    """Estimate when a sowing comes up.

    Parameters
    ----------
    crop
        One of the crops of the table (bean, beet, cabbage, carrot, lettuce, onion, parsnip, pea, pepper).
    soil_c
        Soil temperature at sowing depth [°C, -20 to 50]: one number, taken as steady; or the daily means
        since sowing, in order, the last five of which then stand for the days to come.

    Returns
    -------
    Emergence

    Notes
    -----
    ``days = theta / (T - base)`` with the line ``1/days = (T - base)/theta`` fitted by least squares to the
    table, over 5 to 20 °C (pea 5 to 15, cabbage 10 to 20, bean and pepper 15 to 25 °C). With daily
    temperatures the warmth ``max(0, T - base)`` is added up until it reaches theta. The low and high figures
    are ``days (1 -/+ worst misfit) -/+ 1 day`` and never below zero.

    References
    ----------
    Harrington, J. F. & Minges, P. A. (1954), Vegetable seed germination, University of California.

    Examples
    --------
    >>> round(emergence("carrot", 12).days, 1)
    13.1
    """
    base_c, theta = thermal_time(crop)
    single = isinstance(soil_c, int | float)
    so_far: Sequence[float] = () if isinstance(soil_c, int | float) else soil_c
    recent = so_far[-_RECENT_DAYS:]
    ahead_c = float(soil_c) if isinstance(soil_c, int | float) else _mean(recent)
    gained, reached = _walk(so_far, base_c, theta)
    why_not: list[str] = []
    days = reached
    if reached is None and ahead_c is None:
        why_not.append("There is no soil temperature yet.")
    elif reached is None and ahead_c is not None:
        if ahead_c <= base_c:
            why_not.append(
                f"At {ahead_c:.1f} °C the soil is not above {base_c:.1f} °C, below which it stays put."
            )
        else:
            days = len(so_far) + (theta - gained) / (ahead_c - base_c)
    if single:
        why_not.append("share_done needs the daily soil temperatures since sowing.")
    misfit = worst_misfit(crop)
    return Emergence(
        days=days,
        low_days=None if days is None else max(0.0, days * (1 - misfit) - COPIES_DIFFER_BY_D),
        high_days=None if days is None else days * (1 + misfit) + COPIES_DIFFER_BY_D,
        share_done=None if single else min(1.0, gained / theta),
        base_c=base_c,
        thermal_time_c_d=theta,
        why_not=tuple(why_not),
        cautions=_cautions(crop, (ahead_c,) if single else so_far),
    )


def _walk(soil_c: Sequence[float], base_c: float, theta: float) -> tuple[float, float | None]:
    """Warmth gathered [°C·d], and the fraction of days after which it was enough (None: not yet)."""
    gained = 0.0
    for i, day_c in enumerate(soil_c):
        more = max(0.0, day_c - base_c)
        if more and gained + more >= theta:
            return theta, i + (theta - gained) / more
        gained += more
    return gained, None


def _mean(values: Sequence[float]) -> float | None:
    return sum(values) / len(values) if values else None


def _cautions(crop: str, soil_c: Sequence[float | None]) -> tuple[str, ...]:
    said = ["From seed in moist soil at steady warmth; dry, cold or capped ground takes longer or fails."]
    low_c, high_c = min(DAYS_TO_EMERGE[crop]), max(DAYS_TO_EMERGE[crop])
    if any(value is not None and not low_c <= value <= high_c for value in soil_c):
        said.append(f"Outside {low_c:g} to {high_c:g} °C, where the line was fitted, this is a guess.")
    return tuple(said)


CALCULATION = Calculation(
    name="emergence",
    question="When will what was sown come up?",
    source="Harrington & Minges 1954, University of California; line of rate on temperature fitted here",
    method="thermal time: a straight line of 1/days on soil temperature",
    params=(
        Param("crop", "choice", choices=tuple(DAYS_TO_EMERGE), doc="The crop."),
        Param(
            "soil_c",
            "number_or_numbers",
            unit="°C",
            low=-20,
            high=50,
            max_len=1000,
            doc="Soil temperature at sowing depth: one steady value, or the daily means since sowing.",
        ),
    ),
    run=emergence,
    example={"crop": "carrot", "soil_c": 12},
    returns={
        "days": "days from sowing to emergence",
        "low_days": "lower figure: worst misfit of the line on its table, and one day",
        "high_days": "upper figure",
        "share_done": "share of the warmth needed that has been had; null for a single temperature",
        "base_c": "temperature below which nothing happens [°C]",
        "thermal_time_c_d": "warmth needed above it [°C·d]",
    },
    rules=(
        "Fitted over 5 to 20 °C (pea 5 to 15, cabbage 10 to 20, bean, pepper 15 to 25); outside: a caution.",
        "At or below the base temperature there is no answer, and why_not says so.",
        "The low and high figures are the worst misfit on the table and one day, not a 95 % interval.",
        "With daily temperatures the mean of the last five stands for the days to come.",
    ),
)
