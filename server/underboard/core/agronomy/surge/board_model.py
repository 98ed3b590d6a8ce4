"""What each board usually has, how nights swing them all, and how far they scatter beyond that."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# Outer: robust weights; inner: boards and nights in turn. Fixed, so that every machine ends at one place.
ROUNDS_OF_WEIGHTS, ROUNDS_OF_EFFECTS = 4, 5
# A round this many standard deviations above what was expected is an earlier surge and counts for less.
SURGE_FROM = 3.0
# and its weight falls by this power beyond, so that it hardly widens the limit either.
SURGE_FALL = 8
# From the median absolute deviation to a standard deviation, for a normal law.
MAD_TO_SD = 1.4826
# Before a plot has shown how its nights swing: variance 0.1 (a third up or down), worth three rounds.
USUAL_SWING, USUAL_WORTH = 0.1, 3.0
TINY = 1e-9


@dataclass(frozen=True)
class BoardModel:
    """Learned from earlier rounds.

    Attributes
    ----------
    usual
        Expected count of each board on an average night.
    scatter
        Extra-Poisson variance of a board's count on a given night, relative to its square (1/k).
    swing
        Variance of the nightly activity that all boards share, relative to its mean.
    n_rounds
        Rounds behind it, earlier surges counted for less.
    n_scatter
        Degrees of freedom behind `scatter`.
    """

    usual: Floats
    scatter: float
    swing: float
    n_rounds: float
    n_scatter: float

    def round_of(self, present: Floats) -> tuple[float, float, float]:
        """Expected total of the boards present, and its scatter and swing parts of variance."""
        expected = float(present @ self.usual)
        return expected, self.scatter * float(present @ self.usual**2), self.swing * expected**2


def learn_once(counts: Floats, present: Floats) -> BoardModel:
    """As ``learn``, but the same rounds are learned from once only.

    A season asked again round by round holds each round against the same earlier ones several times over: as
    the newest, as part of two and of three together, and once more when the next round has come.
    """
    return _learned(counts.shape[0], counts.shape[1], counts.tobytes(), present.tobytes())


@lru_cache(maxsize=512)
def _learned(rounds: int, boards: int, counts: bytes, present: bytes) -> BoardModel:
    import numpy as np

    shape = (rounds, boards)
    model = learn(np.frombuffer(counts).reshape(shape), np.frombuffer(present).reshape(shape))
    # It is shared now.
    model.usual.flags.writeable = False
    return model


def learn(counts: Floats, present: Floats) -> BoardModel:
    """Learn the boards from earlier rounds.

    Parameters
    ----------
    counts
        Rounds by boards, 0 where not counted; at least one round.
    present
        1 where counted, 0 where not.

    Returns
    -------
    BoardModel

    Notes
    -----
    Count of board b in round s: mean ``a_s u_b``, with nightly activity ``a_s`` of mean 1. Boards and nights by
    alternating ratios; boards are then drawn together by a gamma prior whose width is the variance between
    boards beyond what scatter explains (empirical Bayes): boards that differ only by chance end up alike,
    boards that keep their character keep it. Scatter and swing by moments with degrees of freedom taken off.
    Rounds more than 3 standard deviations above expectation get weight (3/z)^8, so that an earlier surge
    neither raises the expectation nor widens the limit by much. The first weights come from the median and the
    median absolute deviation of the nights' activity (at least what the usual swing explains): else two surges
    would hide each other.

    References
    ----------
    Clayton, D. & Kaldor, J. (1987), Empirical Bayes estimates of age-standardized relative risks, Biometrics 43,
    671-681 (the gamma prior); the rest is our own, judged by simulation in HONESTY.md.
    """
    import numpy as np

    totals = counts.sum(axis=1)
    weight = _first_weights(counts, present, totals)
    swing, usual = 0.0, None
    for _ in range(ROUNDS_OF_WEIGHTS):
        own, activity = _effects(counts, present, totals, weight)
        scatter, n_scatter = _scatter(
            counts, present, weight, activity, own, own if usual is None else usual, swing
        )
        usual = _drawn_together(counts, present, weight, activity, scatter)
        expected = present @ usual
        usual = usual * float(weight @ totals) / max(float(weight @ expected), TINY)
        expected = present @ usual
        between = scatter * (present @ usual**2)
        swing = _swing(totals, weight, expected, between)
        deviation = np.sqrt(np.maximum(expected + between + swing * expected**2, TINY))
        z = (totals - expected) / deviation
        weight = _weights(z)
    assert usual is not None
    if float(totals.sum()) == 0:
        # Nothing ever: half a slug stands in, so that one slug is no alarm where few rounds have passed.
        usual = np.full(counts.shape[1], 0.5 / float(present.sum()))
    return BoardModel(usual, scatter, swing, float(weight.sum()), n_scatter)


def _weights(z: Floats) -> Floats:
    """1 up to the threshold, then falling steeply."""
    import numpy as np

    return np.where(z > SURGE_FROM, (SURGE_FROM / np.maximum(z, TINY)) ** SURGE_FALL, 1.0)


def _first_weights(counts: Floats, present: Floats, totals: Floats) -> Floats:
    """Weights from how far each night's activity stands above the median."""
    import numpy as np

    own, _ = _effects(counts, present, totals, np.ones(len(counts)))
    expected = present @ own
    activity = totals / np.maximum(expected, TINY)
    middle = float(np.median(activity))
    level = middle * float(expected.mean())
    if level <= 0:
        return np.ones(len(counts))
    spread = MAD_TO_SD * float(np.median(np.abs(activity - middle)))
    least = middle * float(np.sqrt(USUAL_SWING + 1 / level))
    return _weights((activity - middle) / max(spread, least))


def _effects(counts: Floats, present: Floats, totals: Floats, weight: Floats) -> tuple[Floats, Floats]:
    """Each board's own level and each night's activity, by alternating ratios."""
    import numpy as np

    activity = np.ones(len(counts))
    own = np.zeros(counts.shape[1])
    for _ in range(ROUNDS_OF_EFFECTS):
        exposure = (weight * activity) @ present
        overall = float(weight @ totals) / max(float(exposure.sum()), TINY)
        own = np.where(exposure > 0, (weight @ counts) / np.maximum(exposure, TINY), overall)
        expected = present @ own
        activity = np.where(expected > 0, totals / np.maximum(expected, TINY), 1.0)
        mean = float(weight @ activity) / float(weight.sum())
        if mean <= 0:
            return own, np.ones(len(counts))
        activity = activity / mean
    return own, activity


def _scatter(
    counts: Floats,
    present: Floats,
    weight: Floats,
    activity: Floats,
    own: Floats,
    usual: Floats,
    swing: float,
) -> tuple[float, float]:
    """1/k of a board on a given night, from what boards and nights leave over."""
    values, rounds = float(present.sum()), len(counts)
    boards = int((present.sum(axis=0) > 0).sum())
    free = max(values - rounds - boards + 1, 0.0)
    # The square is taken from the smoothed levels: that of the raw ones would carry their own noise.
    square = float(weight @ (present @ usual**2)) * (1 + swing)
    if free == 0 or square <= 0:
        return 0.0, 1.0
    mean = activity[:, None] * own[None, :] * present
    left_over = float((weight[:, None] * (counts - mean) ** 2 * present).sum()) * values / free
    return max((left_over - float((weight[:, None] * mean).sum())) / square, 0.0), free


def _drawn_together(
    counts: Floats, present: Floats, weight: Floats, activity: Floats, scatter: float
) -> Floats:
    """Board levels drawn towards the overall level as far as their differences are chance."""
    exposure = (weight * activity) @ present
    seen = weight @ counts
    overall = float(seen.sum()) / max(float(exposure.sum()), TINY)
    expected = exposure * overall
    inflation = 1 + scatter * overall
    boards = counts.shape[1]
    squares = float(((seen - expected) ** 2 - expected * inflation).sum())
    if boards > 1:
        squares *= boards / (boards - 1)
    variance = max(squares / max(float((expected**2).sum()), TINY), 0.0)
    prior = 1 / max(variance, 1e-6)
    drawn: Floats = overall * (prior + seen / inflation) / (prior + expected / inflation)
    return drawn


def _swing(totals: Floats, weight: Floats, expected: Floats, between: Floats) -> float:
    """Relative variance of the nightly activity, held together with its usual size."""
    worth = float(weight.sum())
    free = max(worth - 1, 0.0)
    square = float(weight @ expected**2)
    if free == 0 or square <= 0:
        return USUAL_SWING
    beyond = (totals - expected) ** 2 * worth / free - expected - between
    found = float(weight @ beyond) / square
    return max((USUAL_WORTH * USUAL_SWING + free * found) / (USUAL_WORTH + free), 0.0)
