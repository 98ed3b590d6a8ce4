"""Our own alarm: each board against itself, a limit from how totals really move from round to round."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from underboard.core.agronomy.surge.board_model import TINY, BoardModel, learn_once
from underboard.core.agronomy.surge.point import Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# From so many earlier rounds on there is a limit, up to this many a caution goes with it,
FIRST, ENOUGH = 5, 12
# and older rounds than this are forgotten, so that the limit follows the season.
REMEMBERED = 40
# The newest round alone, with the one before, and with the two before.
WINDOWS = 3
# Chance of a false alarm in each window; together about one in sixty quiet rounds (HONESTY.md).
USUAL_ALPHA = 0.0115
# How much less sure the swing of the nights is than its degrees of freedom say: activity is skewed.
SWING_DOUBT = 3.0


def watch_boards(
    rounds: Sequence[Sequence[int | None]], alpha: float = USUAL_ALPHA, newest: int | None = None
) -> list[Point]:
    """Watch rounds of the same boards.

    Parameters
    ----------
    rounds
        Counts of each round, boards always in the same order; None where not turned or spoiled. All rows of
        one length.
    alpha
        Chance of a false alarm in each of the three windows.
    newest
        Judge only so many of the newest rounds; all when left out. Alarms before them are then not known to the
        windows, and a round with no more than expected, which cannot raise one, is held against itself alone.

    Returns
    -------
    list of Point
        For each round with a counted board and at least 5 such rounds before it. Count, expected and limit are
        totals of the boards counted in this round; score is (count - expected)/(limit - expected).

    Notes
    -----
    The boards' usual counts, their scatter and the nights' common swing are learned from the rounds before
    (see ``board_model``); the variance of a total of the boards present is
    ``E + scatter * sum of squares + swing * E²``. The total of the newest one, two and three rounds is held
    against a gamma law of that mean and variance (plus the variance of the learned level), its quantile pushed
    out by the ratio of t to normal quantile, because the variance is learned too. The limit is the lowest of
    what the three windows leave for the newest round, at least the expectation: a round needs less to raise
    the alarm when those before it were high already. Windows do not reach back past an alarm.

    The degrees of freedom of the t quantile follow from the sureness of the two parts of the variance.
    """
    import numpy as np

    rows = [row for row in enumerate(rounds) if any(count is not None for count in row[1])]
    counts = np.array([[count or 0 for count in row] for _, row in rows], float)
    present = np.array([[count is not None for count in row] for _, row in rows], float)
    totals = counts.sum(axis=1) if rows else np.zeros(0)
    models: dict[int, BoardModel] = {}
    points: list[Point] = []
    since = 0
    begin = FIRST if newest is None else max(FIRST, len(rows) - newest)
    for now in range(begin, len(rows)):
        expected, limit = _limit(counts, present, totals, now, since, alpha, models, newest is not None)
        count = float(totals[now])
        alarm = count > limit
        score = (count - expected) / (limit - expected) if limit > expected else None
        points.append(Point(rows[now][0], count, expected, limit, score, alarm))
        if alarm:
            since = now + 1
    return points


def _limit(
    counts: Floats,
    present: Floats,
    totals: Floats,
    now: int,
    since: int,
    alpha: float,
    models: dict[int, BoardModel],
    quick: bool,
) -> tuple[float, float]:
    """Expected total of the newest round and the lowest limit that the windows leave for it."""
    best = float("inf")
    expected = 0.0
    for back in range(WINDOWS):
        before = now - back
        if back and (before < FIRST or before < since):
            break
        if before not in models:
            begin = max(before - REMEMBERED, 0)
            models[before] = learn_once(counts[begin:before], present[begin:before])
        model = models[before]
        parts = [model.round_of(row) for row in present[before : now + 1]]
        if back == 0:
            expected = parts[0][0]
        best = min(best, _upper(model, parts, alpha) - float(totals[before:now].sum()))
        if quick and totals[now] <= expected:
            break
    return expected, max(best, expected)


def law_of_total(
    model: BoardModel, parts: Sequence[tuple[float, float, float]]
) -> tuple[float, float, float]:
    """Mean and variance of the total of a window when nothing has changed, and degrees of freedom behind them.

    `parts` are what ``BoardModel.round_of`` says of each round, the newest last.
    """
    mean = sum(part[0] for part in parts)
    scatter = sum(part[1] for part in parts)
    swing = sum(part[2] for part in parts)
    variance = mean + scatter + swing
    newest = parts[-1]
    # The learned level is common to all rounds of the window, so its error adds up.
    level = sum(newest) / max(newest[0], TINY) ** 2 / model.n_rounds
    doubt = (swing / variance) ** 2 * (1 + 3 * model.swing) * SWING_DOUBT / max(model.n_rounds - 1, 1.0)
    doubt += (scatter / variance) ** 2 / model.n_scatter
    return mean, variance + level * mean**2, max(1 / max(doubt, 1e-3), 3.0)


def _upper(model: BoardModel, parts: Sequence[tuple[float, float, float]], alpha: float) -> float:
    """What the total of a window exceeds with chance alpha when nothing has changed."""
    from scipy.special import gammainccinv, ndtri, stdtrit

    mean, variance, free = law_of_total(model, parts)
    quantile = float(gammainccinv(mean**2 / variance, alpha)) * variance / mean
    pushed = float(stdtrit(free, 1 - alpha) / ndtri(1 - alpha))
    return mean + (quantile - mean) * pushed
