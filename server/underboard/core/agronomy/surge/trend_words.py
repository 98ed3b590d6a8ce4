"""What is said beside a trend: why figures are missing, and where to believe it less."""

from __future__ import annotations

import math


def why_not(
    n: int, n_slopes: int, variance: float, low: float | None, high: float | None, lag1: float | None
) -> tuple[str, ...]:
    said = []
    if n_slopes == 0:
        said.append("A trend needs at least two values in one season.")
    elif variance <= 0:
        said.append("All values are equal (or too few), so there is nothing to test.")
    elif low is None or high is None:
        said.append("So few values leave the slope's limits open at this level.")
    if lag1 is None:
        said.append("Neighbours cannot be compared: too few values, or none that vary.")
    return tuple(said)


def cautions(n: int, n_given: int, lag1: float | None) -> tuple[str, ...]:
    said = []
    if lag1 is not None and abs(lag1) > 1.96 / math.sqrt(n):
        said.append(
            f"Neighbouring values go together (lag-1 correlation {lag1:.2f}): p is too small; take means over "
            "longer times."
        )
    if n <= 10:
        said.append("With 10 values or fewer the normal approximation of p is rough.")
    if n < n_given:
        said.append(f"{n_given - n} missing values were passed over.")
    return tuple(said)
