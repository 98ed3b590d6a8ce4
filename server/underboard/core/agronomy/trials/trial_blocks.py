"""Counts before and after on units in blocks: the ratio of their changes by maximum likelihood."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.errors import InputFault

MOST_UNITS = 1000
NEWTON_STEPS = 200
#: A log ratio beyond this has no end: on one side nothing is left, or nothing was there.
ENDLESS = 30.0


@dataclass(frozen=True)
class Unit:
    """What was treated, or left, as one: counts before and after, and effort after over before."""

    before: int
    after: int
    effort: float
    block: str
    treated: bool

    @property
    def total(self) -> int:
        """Counted in all."""
        return self.before + self.after

    def share(self, log_odds: float) -> float:
        """Expected share counted after, at the log odds of equal effort."""
        return 1 / (1 + math.exp(-(log_odds + math.log(self.effort))))


@dataclass(frozen=True)
class Fit:
    """The ratio of changes.

    Attributes
    ----------
    log_ratio
        None when no block can be compared; infinite when one side has none left or had none.
    totals
        Treated after, treated before, untreated after, untreated before, in the blocks that are compared.
    log_effort
        Log of the mean effort where treated over that where untreated.
    """

    log_ratio: float | None
    se: float | None
    dispersion: float | None
    df: int
    n_treated: int
    n_control: int
    n_blocks: int
    totals: tuple[int, int, int, int]
    log_effort: float
    left_out: bool


def read_units(
    kind: str,
    before: Sequence[int],
    after: Sequence[int],
    effort: Sequence[float] | None,
    blocks: Sequence[str | int] | None,
) -> list[Unit]:
    """Put the lists of one side together.

    Raises
    ------
    InputFault
        When their lengths differ.
    """
    n = len(before)
    for name, given in (("after", after), ("effort", effort), ("blocks", blocks)):
        if given is not None and len(given) != n:
            said = f"Give one for each of the {n} in {kind}_before; there are {len(given)}."
            raise InputFault(f"/{kind}_{name}", said)
    return [
        Unit(
            before[i],
            after[i],
            1.0 if effort is None else effort[i],
            "" if blocks is None else str(blocks[i]),
            kind == "treated",
        )
        for i in range(n)
    ]


def fit_blocks(treated: Sequence[Unit], control: Sequence[Unit], missing: tuple[bool, bool]) -> Fit:
    """Fit one log ratio over all blocks.

    Raises
    ------
    InputFault
        When blocks are given for one side only.
    """
    if missing[0] != missing[1]:
        side = "treated" if missing[0] else "control"
        raise InputFault(f"/{side}_blocks", "Give the blocks of both sides, or of neither.")
    units = [*treated, *control]
    groups: dict[str, list[Unit]] = {}
    for unit in units:
        if unit.total:
            groups.setdefault(unit.block, []).append(unit)
    blocks = [group for group in groups.values() if _comparable(group)]
    used = [unit for group in blocks for unit in group]
    mine, theirs = [unit for unit in used if unit.treated], [unit for unit in used if not unit.treated]
    totals = (
        sum(unit.after for unit in mine),
        sum(unit.before for unit in mine),
        sum(unit.after for unit in theirs),
        sum(unit.before for unit in theirs),
    )
    df = max(len(used) - len(blocks) - 1, 0)
    log_ratio, se, dispersion = _top(blocks, df, totals)
    return Fit(
        log_ratio,
        se,
        dispersion,
        df,
        len(mine),
        len(theirs),
        len(blocks),
        totals,
        _log_mean_effort(mine) - _log_mean_effort(theirs),
        len(used) < len(units),
    )


def _comparable(group: Sequence[Unit]) -> bool:
    kinds = {unit.treated for unit in group}
    return len(kinds) == 2 and any(unit.before for unit in group) and any(unit.after for unit in group)


def _log_mean_effort(units: Sequence[Unit]) -> float:
    return math.log(math.fsum(unit.effort for unit in units) / len(units)) if units else 0.0


def _top(
    blocks: Sequence[Sequence[Unit]], df: int, totals: tuple[int, int, int, int]
) -> tuple[float | None, float | None, float | None]:
    """Log ratio, its standard error and the dispersion."""
    if not blocks:
        return None, None, None
    ta, tb, ca, cb = totals
    if tb == 0 or ca == 0 or cb == 0:
        return math.inf, None, None
    if ta == 0:
        return -math.inf, None, None
    ratio, levels = 0.0, [_log_odds(group) for group in blocks]
    for _ in range(NEWTON_STEPS):
        step, moves = _step(blocks, ratio, levels)
        # Both parts of a step are held back alike: it stays a step uphill.
        held = min(1.0, 1 / max(abs(step), *(abs(move) for move in moves), 1e-300))
        ratio += held * step
        levels = [level + held * move for level, move in zip(levels, moves, strict=True)]
        if abs(ratio) > ENDLESS:
            return math.inf, None, None
        if max(abs(step), *(abs(move) for move in moves)) < 1e-12:
            break
    information = math.fsum(
        _information(group, ratio, level) for group, level in zip(blocks, levels, strict=True)
    )
    if information <= 0:
        return math.inf, None, None
    spread = _spread(blocks, ratio, levels, df)
    return ratio, math.sqrt((spread or 1.0) / information), spread


def _log_odds(group: Sequence[Unit]) -> float:
    """Where the search of a block's level starts: all its units as if untreated."""
    after, before = sum(unit.after for unit in group), sum(unit.before for unit in group)
    return math.log(after / before) - math.fsum(math.log(unit.effort) for unit in group) / len(group)


def _sums(group: Sequence[Unit], ratio: float, level: float) -> tuple[float, float, float, float]:
    """Score and information of the treated, then of the untreated, of one block."""
    found = [0.0, 0.0, 0.0, 0.0]
    for unit in group:
        share = unit.share(level + ratio if unit.treated else level)
        at = 0 if unit.treated else 2
        found[at] += unit.after - unit.total * share
        found[at + 1] += unit.total * share * (1 - share)
    return found[0], found[1], found[2], found[3]


def _step(
    blocks: Sequence[Sequence[Unit]], ratio: float, levels: Sequence[float]
) -> tuple[float, list[float]]:
    """One Newton step: the levels of blocks are eliminated, each stands in its own equation only."""
    sums = [_sums(group, ratio, level) for group, level in zip(blocks, levels, strict=True)]
    score = math.fsum((ut * ic - uc * it) / (it + ic) for ut, it, uc, ic in sums if it + ic > 0)
    information = math.fsum(it * ic / (it + ic) for _, it, _, ic in sums if it + ic > 0)
    step = score / information if information > 0 else math.copysign(1.0, score)
    moves = [(ut + uc - it * step) / (it + ic) if it + ic > 0 else 0.0 for ut, it, uc, ic in sums]
    return step, moves


def _information(group: Sequence[Unit], ratio: float, level: float) -> float:
    _, treated, _, control = _sums(group, ratio, level)
    return treated * control / (treated + control) if treated + control > 0 else 0.0


def _spread(blocks: Sequence[Sequence[Unit]], ratio: float, levels: Sequence[float], df: int) -> float | None:
    """Pearson's dispersion of the units about their expected shares, at least 1."""
    if df == 0:
        return None
    squares = []
    for group, level in zip(blocks, levels, strict=True):
        for unit in group:
            share = unit.share(level + ratio if unit.treated else level)
            variance = unit.total * share * (1 - share)
            if variance > 0:
                squares.append((unit.after - unit.total * share) ** 2 / variance)
    return max(math.fsum(squares) / df, 1.0)
