"""How many times the usual were there in the newest round, or the newest few together?"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.surge.board_model import learn_once
from underboard.core.agronomy.surge.boards import ENOUGH, FIRST, REMEMBERED, law_of_total
from underboard.core.errors import InputFault

#: A factor is looked for between these, on a log scale, in so many halvings.
LEAST, MOST, HALVINGS = 1e-4, 1e4, 60


@dataclass(frozen=True)
class TimesUsual:
    """The newest rounds against what their boards usually have.

    Attributes
    ----------
    count, expected
        Slugs under the boards turned in the newest rounds, and what those boards have on average nights.
    times, low, high
        Count over expected, and the factors that agree with the count.
    p_so_many
        Chance of so many or more when nothing has changed.
    n_rounds
        Earlier rounds learned from.
    """

    count: int | None
    expected: float | None
    times: float | None
    low: float | None
    high: float | None
    p_so_many: float | None
    n_rounds: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def times_usual(rounds: Sequence[Sequence[int | None]], newest: int = 1, level: float = 0.95) -> TimesUsual:
    """Hold the newest round, or the newest few together, against the ones before.

    Parameters
    ----------
    rounds
        Counts of each round, boards always in the same order, None where not turned or spoiled; the newest last.
    newest
        How many of the newest rounds are taken together [1 to 10].
    level
        Level of the interval.

    Returns
    -------
    TimesUsual

    Raises
    ------
    InputFault
        When rounds are of unlike length.

    Notes
    -----
    The boards are learned from up to 40 earlier rounds as in ``surge`` (method boards). A total of r times the
    usual has mean ``r E`` and variance ``r E + r² (scatter + swing + error of the level)``, taken as a gamma law;
    low and high are the r at which the count, half a slug more or less, would just be likely enough. The tails
    are those of a t law where the variance is known poorly.

    References
    ----------
    Our own, like the method it rests on; its interval is held against simulated plots in the tests.

    Examples
    --------
    >>> answer = times_usual([[2, 0, 5], [1, 0, 6], [3, 1, 4], [0, 0, 7], [2, 1, 3], [6, 3, 14]])
    >>> round(answer.times, 1)
    3.3
    """
    import numpy as np

    for i, row in enumerate(rounds):
        if len(row) != len(rounds[0]):
            said = (
                f"Every round needs one entry for each of the {len(rounds[0])} boards; here are {len(row)}."
            )
            raise InputFault(f"/rounds/{i}", said)
    rows = [row for row in rounds if any(count is not None for count in row)]
    n_before = len(rows) - newest
    if n_before < FIRST:
        why = f"There must be {FIRST} earlier rounds; {len(rows)} have counts, the newest included."
        return TimesUsual(None, None, None, None, None, None, max(n_before, 0), (why,), ())
    earlier, window = rows[max(n_before - REMEMBERED, 0) : n_before], rows[n_before:]
    counts = np.array([[count or 0 for count in row] for row in earlier], float)
    present = np.array([[count is not None for count in row] for row in earlier], float)
    model = learn_once(counts, present)
    parts = [model.round_of(np.array([count is not None for count in row], float)) for row in window]
    count = sum(seen or 0 for row in window for seen in row)
    expected, variance, free = law_of_total(model, parts)
    spread = (variance - expected) / expected**2
    low, high = _limits(count, expected, spread, free, (1 - level) / 2)
    cautions = []
    if n_before < ENOUGH:
        cautions.append(f"Only {n_before} earlier rounds: what is usual here is known roughly.")
    p = _t_tail(_upper_tail(count, expected, spread, 1.0), free)
    return TimesUsual(count, expected, count / expected, low, high, p, len(earlier), (), tuple(cautions))


def _limits(
    count: int, expected: float, spread: float, free: float, tail: float
) -> tuple[float, float | None]:
    from scipy.special import ndtr, stdtrit

    wanted = float(ndtr(stdtrit(free, tail)))
    low = 0.0
    if count > 0:
        low = _crossing(lambda r: _upper_tail(count, expected, spread, r) - wanted)
    if _lower_tail(count, expected, spread, MOST) > wanted:
        return low, None
    return low, _crossing(lambda r: wanted - _lower_tail(count, expected, spread, r))


def _upper_tail(count: int, expected: float, spread: float, r: float) -> float:
    """Chance of `count` or more at r times the usual."""
    from scipy.special import gammaincc

    mean, variance = _law(expected, spread, r)
    return float(gammaincc(mean**2 / variance, max(count - 0.5, 0.0) * mean / variance))


def _lower_tail(count: int, expected: float, spread: float, r: float) -> float:
    from scipy.special import gammainc

    mean, variance = _law(expected, spread, r)
    return float(gammainc(mean**2 / variance, (count + 0.5) * mean / variance))


def _law(expected: float, spread: float, r: float) -> tuple[float, float]:
    mean = r * expected
    return mean, mean + spread * mean**2


def _t_tail(p: float, free: float) -> float:
    """A tail of the normal law as one of the t law with `free` degrees of freedom."""
    from scipy.special import ndtri, stdtr

    return float(stdtr(free, float(ndtri(p)))) if 0 < p < 1 else p


def _crossing(rising: Callable[[float], float]) -> float:
    """Where a function of the factor that only rises crosses 0, by halving the log scale."""
    low, high = math.log(LEAST), math.log(MOST)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if rising(math.exp(middle)) < 0:
            low = middle
        else:
            high = middle
    return math.exp((low + high) / 2)


CALCULATION = Calculation(
    name="times-usual",
    question="How many times the usual were there in the newest rounds?",
    source="our own; gamma prior of the boards after Clayton & Kaldor 1987, Biometrics 43:671",
    method="count over what these boards usually have; factors that agree with the count under a gamma law",
    params=(
        Param(
            "rounds",
            "count_lists_or_null",
            max_len=2_000,
            doc="Counts of each round, boards in one order, null where not turned or spoiled; the newest last.",
        ),
        Param(
            "newest",
            "integer",
            required=False,
            default=1,
            low=1,
            high=10,
            doc="How many of the newest rounds are taken together.",
        ),
        LEVEL,
    ),
    run=times_usual,
    example={
        "rounds": [
            [2, 0, 5, 1],
            [1, 0, 6, None],
            [3, 1, 4, 0],
            [0, 0, 7, 2],
            [2, 1, 3, 1],
            [1, 0, 5, 0],
            [6, 3, 14, 4],
        ]
    },
    returns={
        "count, expected": "slugs in the newest rounds, and what their boards usually have",
        "times, low, high": "count over expected, and the factors that agree with the count",
        "p_so_many": "chance of so many or more when nothing has changed",
        "n_rounds": "earlier rounds learned from",
    },
    rules=(
        "Fewer than 5 earlier rounds: null, and why_not says so.",
        "So few usual slugs that no factor can be ruled out: high is null.",
        "Earlier surges count for less, as in surge; rounds older than 40 are forgotten.",
    ),
    needs_scipy=True,
)
