"""How does the spread grow with the mean on this plot?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.agronomy.contract import Calculation, Param


@dataclass(frozen=True)
class Taylor:
    """Taylor's power law ``variance = a mean^b``, fitted.

    Attributes
    ----------
    a, b
        The law.
    b_se, log10_a_se
        Standard errors.
    r2
        Share of the scatter of log variance that the line explains.
    n_groups, n_left_out
        Groups used, and groups left out (fewer than two occupied boards, or no spread at all).
    """

    a: float | None
    b: float | None
    b_se: float | None
    log10_a_se: float | None
    r2: float | None
    n_groups: int
    n_left_out: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def taylor(groups: Sequence[Sequence[int]]) -> Taylor:
    """Fit Taylor's power law to groups of counts (rounds, beds, seasons).

    Parameters
    ----------
    groups
        One list of counts for each round or bed.

    Returns
    -------
    Taylor

    Notes
    -----
    Least squares of log10 variance (divisor n - 1) on log10 mean. A group counts when at least two boards had
    any and the boards differ.

    References
    ----------
    Taylor, L. R. (1961), Aggregation, variance and the mean, Nature 189, 732-735.

    Examples
    --------
    >>> answer = taylor([[0, 1, 3], [2, 0, 9, 4], [11, 30, 2], [1, 0, 1, 0]])
    >>> answer.n_groups, round(answer.b, 2)
    (4, 1.9)
    """
    points = [point for group in groups if (point := _point(group)) is not None]
    n, left_out = len(points), len(groups) - len(points)
    middle = math.fsum(x for x, _ in points) / n if n else 0.0
    sxx = math.fsum((x - middle) ** 2 for x, _ in points)
    if n < 2 or sxx < 1e-12 * n:
        why = "At least two groups with different means are needed to fit a line."
        return Taylor(None, None, None, None, None, n, left_out, (why,), ())
    level = math.fsum(y for _, y in points) / n
    b = math.fsum((x - middle) * (y - level) for x, y in points) / sxx
    log_a = level - b * middle
    rest = math.fsum((y - log_a - b * x) ** 2 for x, y in points)
    around = math.fsum((y - level) ** 2 for _, y in points)
    why_not = []
    error = None
    if n > 2:
        error = rest / (n - 2)
    else:
        why_not.append("Two groups fix the line exactly, so it has no standard error.")
    if around == 0:
        why_not.append("All groups have one variance, so there is nothing to explain.")
    if not -300 < log_a < 300:
        why_not.append("The line is too steep for a to be written as a number.")
    cautions = ("With fewer than about 10 groups a and b are rough.",) if n < 10 else ()
    return Taylor(
        a=10**log_a if -300 < log_a < 300 else None,
        b=b,
        b_se=math.sqrt(error / sxx) if error is not None else None,
        log10_a_se=math.sqrt(error * (1 / n + middle**2 / sxx)) if error is not None else None,
        r2=1 - rest / around if around > 0 else None,
        n_groups=n,
        n_left_out=left_out,
        why_not=tuple(why_not),
        cautions=cautions,
    )


def _point(group: Sequence[int]) -> tuple[float, float] | None:
    """log10 mean and log10 variance of a group, or None when it says nothing."""
    n, total = len(group), sum(group)
    if sum(1 for count in group if count > 0) < 2:
        return None
    squares = n * sum(count * count for count in group) - total * total
    if squares == 0:
        return None
    return math.log10(total / n), math.log10(squares / (n * (n - 1)))


CALCULATION = Calculation(
    name="taylor",
    question="How does the spread between boards grow with the mean on this plot?",
    source="Taylor 1961, Nature 189:732",
    method="least squares of log10 variance on log10 mean",
    params=(
        Param(
            "groups",
            "count_lists",
            min_len=1,
            max_len=100_000,
            doc="One list of counts a round or bed.",
        ),
    ),
    run=taylor,
    example={"groups": [[0, 1, 3, 0], [2, 0, 9, 4], [11, 30, 2, 5], [1, 0, 1, 0]]},
    returns={
        "a": "variance at a mean of 1",
        "b": "1 for chance, near 2 for strong clumping",
        "b_se": "standard error of b",
        "log10_a_se": "standard error of log10 a",
        "r2": "share of the scatter explained",
        "n_groups": "groups used",
        "n_left_out": "groups left out: fewer than two occupied boards, or no spread",
    },
    rules=(
        "Groups with fewer than two occupied boards are left out and counted.",
        "Fewer than two usable groups, or all with one mean: no fit, and why_not says so.",
    ),
)
