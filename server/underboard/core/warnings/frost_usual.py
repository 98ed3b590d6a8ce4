"""Tonight's minimum without an evening reading: from the afternoon, or from last night. Wide, and it says so."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, Literal

from underboard.core.agronomy.frost.frost_fit import ENOUGH_NIGHTS
from underboard.core.warnings.facts import Facts, ReadingFact
from underboard.core.warnings.frost_night import NOON, lowest_of, night_date, night_on, open_air
from underboard.core.warnings.plot_time import DAY, at_clock

LEVEL: Final = 0.95
#: So many days back are learned from: the usual fall of another season says little.
DAYS: Final = 60
#: A night's minimum is carried on over so many nights, and its change learned over as many.
MOST_GAP: Final = 3


@dataclass(frozen=True)
class Usual:
    """A minimum to expect [°C] from a temperature known before.

    Attributes
    ----------
    basis
        ``afternoon``: the last reading before the evening less the plot's usual fall from there;
        ``last_night``: the newest minimum and how much that changes within up to three nights.
    from_c, from_at
        The temperature it starts from [°C] and when that was read; None for a night's minimum.
    change_c, sd_c, n
        Usual change, its spread [°C], and on how many of the plot's own days that stands.
    """

    basis: Literal["afternoon", "last_night"]
    from_c: float
    from_at: datetime | None
    change_c: float
    sd_c: float
    n: int

    @property
    def min_c(self) -> float:
        return self.from_c + self.change_c

    @property
    def spread_c(self) -> float:
        """Spread of one night to come: of a single value about a mean that is itself uncertain [°C]."""
        return self.sd_c * math.sqrt(1 + 1 / self.n)

    def interval(self) -> tuple[float, float]:
        """Interval of the minimum at `LEVEL`, by Student's t with n - 1 degrees of freedom [°C]."""
        from scipy.special import stdtrit

        reach = -float(stdtrit(self.n - 1, (1 - LEVEL) / 2)) * self.spread_c
        return self.min_c - reach, self.min_c + reach

    def chance_below(self, critical_c: float) -> float:
        """Chance of a minimum below a temperature [0 to 1]."""
        from scipy.special import stdtr

        gap = critical_c - self.min_c
        return float(gap > 0) if self.spread_c == 0 else float(stdtr(self.n - 1, gap / self.spread_c))


def usual_minimum(facts: Facts, night: date, now: datetime) -> Usual | None:
    """Foretell from the afternoon; without a reading there, from last night; None with too few days.

    Nights of any sky are learned from, for nobody has looked at tonight's.
    """
    station = open_air(facts)
    if station is None:
        return None
    first = night - DAYS * DAY
    recent = [
        one for one in facts.readings if one.station_id == station and one.min_on > first and one.at <= now
    ]
    lowest = {on: low for on, low in lowest_of(facts, first).get("", {}).items() if on < night}
    afternoons = _afternoons(facts, recent)
    if night in afternoons:
        falls = [low - afternoons[on][0] for on, low in lowest.items() if on in afternoons]
        if len(falls) >= ENOUGH_NIGHTS:
            return _usual("afternoon", *afternoons[night], falls)
    gaps = range(1, MOST_GAP + 1)
    changes = [
        lowest[on + gap * DAY] - low for on, low in lowest.items() for gap in gaps if on + gap * DAY in lowest
    ]
    known = next((lowest[night - gap * DAY] for gap in gaps if night - gap * DAY in lowest), None)
    if known is not None and len(changes) >= ENOUGH_NIGHTS:
        return _usual("last_night", known, None, changes)
    return None


def _afternoons(facts: Facts, readings: Sequence[ReadingFact]) -> Mapping[date, tuple[float, datetime]]:
    """By night: the last temperature read between noon and the hour of the evening reading."""
    found: dict[date, tuple[float, datetime]] = {}
    for one in readings:
        on = night_date(facts, one.at)
        read_by = night_on(facts, on).reading_at
        if one.current_c is None or one.flaws or read_by is None:
            continue
        if at_clock(facts, on, NOON) <= one.at <= read_by:
            found[on] = (one.current_c, one.at)
    return found


def _usual(
    basis: Literal["afternoon", "last_night"], from_c: float, at: datetime | None, changes: Sequence[float]
) -> Usual:
    n = len(changes)
    mean = math.fsum(changes) / n
    sd = math.sqrt(math.fsum((one - mean) ** 2 for one in changes) / (n - 1))
    return Usual(basis, from_c, at, mean, sd, n)
