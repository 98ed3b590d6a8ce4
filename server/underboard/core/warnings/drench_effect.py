"""What a treatment did: treated against untreated boards of the same rounds, before against after."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from underboard.core.agronomy.nematodes.efficacy_window import efficacy_window
from underboard.core.agronomy.trials.efficacy import Efficacy, efficacy
from underboard.core.warnings.facts import Facts, RoundFact, TreatmentFact

#: Rounds of so many days before stand for how it was (common practice, no source).
BEFORE_DAYS: Final = 28
LEVEL: Final = 0.95


@dataclass(frozen=True)
class Cell:
    """One round: slugs and boards turned, treated and untreated."""

    day: date
    treated: int
    treated_boards: int
    control: int
    control_boards: int


@dataclass(frozen=True)
class Effect:
    """A treatment against its control. Ratios are with over without treatment: 1 is no effect.

    `spread` is how much more than chance the share of the treated boards varies from round to round, at least 1.
    """

    before: tuple[Cell, ...]
    after: tuple[Cell, ...]
    ratio: float | None
    low: float | None
    high: float | None
    spread: float
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def effect_of(facts: Facts, treatment: TreatmentFact, rounds: Sequence[RoundFact]) -> Effect:
    """Judge a treatment by Henderson and Tilton's ratio of ratios.

    Notes
    -----
    Treated and untreated boards are turned in the same rounds, so that what a night does to all of them cancels:
    given a round's total, the treated part is binomial with odds ``theta x boards treated / boards untreated``,
    theta one number before and another after. Their quotient is the ratio; its standard error
    ``sqrt(phi (1/Ta + 1/Ca + 1/Tb + 1/Cb))`` with Pearson's phi of the rounds about those odds (at least 1) and
    the t quantile of its degrees of freedom. Boards that more than one person counted differently are left out.

    References
    ----------
    Henderson, C. F. & Tilton, E. W. (1955), J. Econ. Entomol. 48, 157-161. McCullagh & Nelder (1989), Generalized
    Linear Models, 4.5 (overdispersed binomial).
    """
    treated = _boards(facts, treatment.place_ids)
    control = _boards(facts, treatment.control_place_ids)
    cells = [_cell(one, treated, control) for one in rounds]
    used = [one for one in cells if one.treated_boards and one.control_boards]
    before = tuple(one for one in used if 0 <= (treatment.day - one.day).days <= BEFORE_DAYS)
    after = tuple(one for one in used if efficacy_window(treatment.day, one.day).usable)
    if not before or not after:
        return Effect(before, after, None, None, None, 1.0, (), ())
    spread, free = _spread([before, after])
    level = _level_by_t(LEVEL, free)
    found = _efficacy(before, after, spread, level)
    evened = _evened(before, after)
    return Effect(
        before,
        after,
        None if found.ratio is None else found.ratio * evened,
        None if found.ratio_low is None else found.ratio_low * evened,
        None if found.ratio_high is None else found.ratio_high * evened,
        spread,
        found.why_not,
        found.cautions,
    )


def _boards(facts: Facts, place_ids: Iterable[str]) -> set[str]:
    places = set(place_ids)
    return {one.id for one in facts.stations.values() if one.kind == "slug_board" and one.place_id in places}


def _cell(one: RoundFact, treated: set[str], control: set[str]) -> Cell:
    mine = [count.low for board, count in one.boards.items() if board in treated and not count.disputed]
    theirs = [count.low for board, count in one.boards.items() if board in control and not count.disputed]
    return Cell(one.day, sum(mine), len(mine), sum(theirs), len(theirs))


def _spread(phases: Iterable[Sequence[Cell]]) -> tuple[float, int]:
    """Pearson's dispersion of the treated share about one odds a phase, and its degrees of freedom."""
    squares, free = 0.0, 0
    for cells in phases:
        theta = _theta(cells)
        free += len(cells) - 1
        for one in cells:
            total = one.treated + one.control
            odds = theta * one.treated_boards / one.control_boards
            share = odds / (1 + odds)
            if total and 0 < share < 1:
                squares += (one.treated - total * share) ** 2 / (total * share * (1 - share))
    return (max(squares / free, 1.0) if free > 0 else 1.0), free


def _theta(cells: Sequence[Cell]) -> float:
    """Slugs a treated board over slugs an untreated one, all rounds together."""
    treated = sum(one.treated for one in cells) / sum(one.treated_boards for one in cells)
    control = sum(one.control for one in cells) / sum(one.control_boards for one in cells)
    return treated / control if control > 0 else 0.0


def _level_by_t(level: float, free: int) -> float:
    """The level at which a normal quantile is as wide as the t quantile of `free` degrees of freedom."""
    from scipy.special import ndtr, stdtrit

    t = float(stdtrit(max(free, 1), (1 + level) / 2))
    return min(2 * float(ndtr(t)) - 1, 1 - 1e-12)


def _efficacy(before: Sequence[Cell], after: Sequence[Cell], spread: float, level: float) -> Efficacy:
    return efficacy(
        "henderson_tilton",
        treated_before=sum(one.treated for one in before),
        treated_after=sum(one.treated for one in after),
        control_before=sum(one.control for one in before),
        control_after=sum(one.control for one in after),
        dispersion=spread,
        level=level,
    )


def _evened(before: Sequence[Cell], after: Sequence[Cell]) -> float:
    """What the ratio of totals has to be multiplied by, because not the same boards were turned each time."""
    treated = sum(one.treated_boards for one in before) / sum(one.treated_boards for one in after)
    control = sum(one.control_boards for one in after) / sum(one.control_boards for one in before)
    return math.prod((treated, control))
