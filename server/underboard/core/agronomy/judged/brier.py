"""How good were the chances that were given?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault

N_CLASSES: Final = 10


@dataclass(frozen=True)
class ReliabilityClass:
    """Forecasts between two chances: how many, their mean chance, and the share that came true."""

    from_: float
    to: float
    n: int
    mean_p: float
    observed: float


@dataclass(frozen=True)
class Brier:
    """The Brier score.

    Attributes
    ----------
    brier
        Mean squared error of the chances [0 to 1], 0 is perfect.
    brier_climatology
        The same for always giving the climatology.
    skill
        1 - brier/brier_climatology [up to 1]; negative is worse than the climatology.
    reliability
        Classes of a tenth each that hold forecasts.
    climatology
        The chance it is held against.
    """

    brier: float | None
    brier_climatology: float | None
    skill: float | None
    reliability: tuple[ReliabilityClass, ...]
    climatology: float | None
    n: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def brier(probabilities: Sequence[float], outcomes: Sequence[int], climatology: float | None = None) -> Brier:
    """Score chances against what happened.

    Parameters
    ----------
    probabilities
        The chances that were given [0 to 1].
    outcomes
        Whether it came: 1 or 0 (true or false).
    climatology
        Usual chance to hold them against [0 to 1]; without it the share of these outcomes.

    Returns
    -------
    Brier

    Raises
    ------
    InputFault
        When the lists differ in length.

    Notes
    -----
    ``mean((p - o)^2)``. The share of the same outcomes is a hard reference: it knows the season beforehand.

    References
    ----------
    Brier, G. W. (1950), Verification of forecasts expressed in terms of probability, Mon. Weather Rev. 78,
    1-3.

    Examples
    --------
    >>> round(brier([0.9, 0.7, 0.2, 0.1, 0.5], [1, 0, 0, 0, 1]).brier, 6)
    0.16
    """
    if len(probabilities) != len(outcomes):
        raise InputFault(
            "/outcomes", f"Each chance needs an outcome; there are {len(probabilities)} and {len(outcomes)}."
        )
    n = len(outcomes)
    if not n:
        return Brier(None, None, None, (), climatology, 0, ("There are no forecasts yet.",), ())
    base = climatology if climatology is not None else sum(outcomes) / n
    score = _mean_square(probabilities, outcomes)
    reference = _mean_square([base] * n, outcomes)
    why_not = (
        () if reference > 0 else ("The climatology was right every time, so there is no skill against it.",)
    )
    cautions = () if n >= 30 else (f"Only {n} forecasts: a few lucky or unlucky nights decide the score.",)
    return Brier(
        brier=score,
        brier_climatology=reference,
        skill=1 - score / reference if reference > 0 else None,
        reliability=_reliability(probabilities, outcomes),
        climatology=base,
        n=n,
        why_not=why_not,
        cautions=cautions,
    )


def _mean_square(probabilities: Sequence[float], outcomes: Sequence[int]) -> float:
    return math.fsum((p - o) ** 2 for p, o in zip(probabilities, outcomes, strict=True)) / len(outcomes)


def _reliability(probabilities: Sequence[float], outcomes: Sequence[int]) -> tuple[ReliabilityClass, ...]:
    classes: dict[int, list[tuple[float, int]]] = {}
    for p, outcome in zip(probabilities, outcomes, strict=True):
        classes.setdefault(min(int(p * N_CLASSES), N_CLASSES - 1), []).append((p, outcome))
    return tuple(
        ReliabilityClass(
            from_=i / N_CLASSES,
            to=(i + 1) / N_CLASSES,
            n=len(members),
            mean_p=math.fsum(p for p, _ in members) / len(members),
            observed=sum(outcome for _, outcome in members) / len(members),
        )
        for i, members in sorted(classes.items())
    )


CALCULATION = Calculation(
    name="brier",
    question="How good were the chances that were given?",
    source="Brier 1950, Mon. Weather Rev. 78:1",
    method="mean squared error of the chances, against the climatology; reliability in tenths",
    params=(
        Param("probabilities", "numbers", low=0, high=1, doc="The chances that were given."),
        Param("outcomes", "flags", doc="Whether it came: 1 or 0, or true or false."),
        Param(
            "climatology",
            "number",
            required=False,
            default=None,
            low=0,
            high=1,
            doc="Usual chance; without it the share of these outcomes.",
        ),
    ),
    run=brier,
    example={"probabilities": [0.9, 0.7, 0.2, 0.1, 0.5], "outcomes": [1, 0, 0, 0, 1]},
    returns={
        "brier": "mean squared error, 0 is perfect",
        "brier_climatology": "the same for always giving the climatology",
        "skill": "1 - brier/brier_climatology",
        "reliability": "classes of a tenth: how many, their mean chance, the share that came true",
    },
    rules=(
        "A chance on the edge of two classes counts in the upper one.",
        "When the climatology was right every time there is no skill: null.",
    ),
)
