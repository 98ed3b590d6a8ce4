"""Can this trial show anything at all? Ask before the season."""

from __future__ import annotations

import math
from dataclasses import dataclass

from underboard.core.agronomy.contract import LEVEL, Calculation, Param

USUAL_POWER = 0.8
MOST = 10**9


@dataclass(frozen=True)
class TrialPower:
    """The chance that a trial shows an effect that is there.

    Attributes
    ----------
    power
        When every board and every round is a fresh draw.
    power_boards_keep
        When boards stay good or bad all season, so that rounds add little: the cautious end.
    n_boards_needed
        Boards a side for the wanted power with these rounds.
    n_rounds_needed
        Rounds for the wanted power with these boards.
    n_boards_needed_boards_keep
        Boards a side when boards stay good or bad.
    """

    power: float
    power_boards_keep: float
    n_boards_needed: int | None
    n_rounds_needed: int | None
    n_boards_needed_boards_keep: int | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def trial_power(
    mean: float,
    k: float,
    n_boards: int,
    n_rounds: int,
    percent_fewer: float,
    level: float = 0.95,
    power: float = USUAL_POWER,
) -> TrialPower:
    """Give the power of a comparison of treated with untreated boards.

    Parameters
    ----------
    mean
        Slugs a board and round without treatment [above 0].
    k
        Clumping of a board's count (from ``count-summary``) [above 0].
    n_boards
        Boards a side [from 1].
    n_rounds
        Rounds counted after the treatment [from 1].
    percent_fewer
        The effect that must be found [above 0, below 100].
    level
        1 minus the accepted chance of a false finding, two-sided.
    power
        Wanted power, for the numbers needed.

    Returns
    -------
    TrialPower

    Notes
    -----
    Closed form on the log ratio r of means m (untreated) and m r (treated). Fresh draws:
    ``se² = (1/(m r) + 1/m + 2/k) / (boards * rounds)``. Boards that keep: all clumping is the boards' own, and
    ``se² = ((1/(m r) + 1/m)/rounds + 2/k) / boards``. Power is the normal chance of a log ratio beyond the
    limits of the level. The truth lies between. Held against simulation in HONESTY.md.

    References
    ----------
    Zhu, H. & Lakkis, H. (2014), Sample size calculation for comparing two negative binomial rates, Stat. Med.
    33, 376-387 (form of the variance, from memory); the case of boards that keep is our own.

    Examples
    --------
    >>> answer = trial_power(mean=3, k=0.8, n_boards=6, n_rounds=4, percent_fewer=50)
    >>> round(answer.power, 2), answer.n_boards_needed
    (0.44, 15)
    """
    effect = -math.log1p(-percent_fewer / 100)
    chance = 1 / (mean * (1 - percent_fewer / 100)) + 1 / mean
    clumping = 2 / k
    fresh = (chance + clumping) / n_boards / n_rounds
    keep = (chance / n_rounds + clumping) / n_boards
    wanted = _wanted_square(effect, level, power)
    boards = _needed((chance + clumping) / n_rounds, wanted)
    rounds = _needed((chance + clumping) / n_boards, wanted)
    boards_keep = _needed(chance / n_rounds + clumping, wanted)
    why_not = []
    if None in (boards, rounds, boards_keep):
        why_not.append("No number of boards or rounds that could be counted would be enough.")
    return TrialPower(
        power=_power(effect, fresh, level),
        power_boards_keep=_power(effect, keep, level),
        n_boards_needed=boards,
        n_rounds_needed=rounds,
        n_boards_needed_boards_keep=boards_keep,
        why_not=tuple(why_not),
        cautions=_cautions(n_boards, n_rounds),
    )


def _power(effect: float, square: float, level: float) -> float:
    from scipy.special import ndtr, ndtri

    z = -float(ndtri((1 - level) / 2))
    distance = effect / math.sqrt(square)
    return float(ndtr(distance - z) + ndtr(-distance - z))


def _wanted_square(effect: float, level: float, power: float) -> float:
    """The square of the standard error at which the power is reached (the far tail left out)."""
    from scipy.special import ndtri

    reach = float(-ndtri((1 - level) / 2) + ndtri(power))
    return (effect / reach) ** 2 if reach > 0 else math.inf


def _needed(square_of_one: float, wanted: float) -> int | None:
    if wanted == 0 or square_of_one / wanted > MOST:
        return None
    return max(math.ceil(square_of_one / wanted * (1 - 1e-12)), 1)


def _cautions(n_boards: int, n_rounds: int) -> tuple[str, ...]:
    said = []
    if n_rounds > 1:
        said.append(
            "Rounds of the same boards repeat each other: plan with power_boards_keep unless boards are moved."
        )
    if n_boards < 6:
        said.append("With fewer than 6 boards a side the formula is too hopeful.")
    said.append("One treated and one untreated bed show a difference of beds; repeat the pair where you can.")
    return tuple(said)


CALCULATION = Calculation(
    name="trial-power",
    question="Can this trial show anything, and how many boards or rounds would?",
    source="Zhu & Lakkis 2014, Stat. Med. 33:376 (from memory); boards that keep: our own",
    method="closed form on the log ratio of negative binomial means, two-sided",
    params=(
        Param("mean", "number", low=1e-6, high=1e6, doc="Slugs a board and round without treatment."),
        Param("k", "number", low=1e-6, high=1e9, doc="Clumping of a board's count; small is clumped."),
        Param("n_boards", "count", low=1, high=1e6, doc="Boards a side."),
        Param("n_rounds", "count", low=1, high=1e6, doc="Rounds counted after the treatment."),
        Param(
            "percent_fewer",
            "number",
            unit="%",
            low=0.01,
            high=99.99,
            doc="The effect that must be found.",
        ),
        LEVEL,
        Param(
            "power",
            "number",
            required=False,
            default=USUAL_POWER,
            low=0.01,
            high=0.9999,
            doc="Wanted power, for the numbers needed.",
        ),
    ),
    run=trial_power,
    example={"mean": 3, "k": 0.8, "n_boards": 6, "n_rounds": 4, "percent_fewer": 50},
    returns={
        "power": "chance of finding the effect when all counts are fresh draws",
        "power_boards_keep": "the same when boards stay good or bad all season: the cautious end",
        "n_boards_needed": "boards a side for the wanted power",
        "n_rounds_needed": "rounds for the wanted power",
        "n_boards_needed_boards_keep": "boards a side when boards stay good or bad",
    },
    rules=(
        "A power below 0.5 means: more likely than not the trial shows nothing although the effect is there.",
        "More rounds cannot make up for few boards when the boards keep their character.",
    ),
    needs_scipy=True,
)
