"""By how much did treated boards change against untreated ones, board by board?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.trials.trial_blocks import MOST_UNITS, Fit, Unit, fit_blocks, read_units
from underboard.core.agronomy.trials.trial_words import effect_cautions, effect_why_not

METHOD = (
    "share counted after, given each board's total: binomial by blocks, quasi scale, t (Henderson-Tilton)"
)
# Added to each total for the interval when nothing was left where treated (Haldane 1956, Anscombe 1956).
HALF = 0.5


@dataclass(frozen=True)
class TrialEffect:
    """A treatment's effect, with the boards or beds themselves as the measure of chance.

    Attributes
    ----------
    percent, low, high
        Percent fewer than without treatment; negative when there were more. Never clamped.
    ratio, ratio_low, ratio_high
        Change where treated over change where untreated: 1 is no effect.
    log_ratio, se_log_ratio
        Natural logarithm of the ratio and its standard error.
    p
        Chance of a ratio as far from 1 either way if the treatment did nothing.
    dispersion
        How much more than chance the units differ in their change, at least 1; None when nothing shows it.
    df
        Degrees of freedom behind it.
    n_treated, n_control, n_blocks
        Units with anything counted, and blocks with both kinds, that it rests on.
    """

    percent: float | None
    low: float | None
    high: float | None
    ratio: float | None
    ratio_low: float | None
    ratio_high: float | None
    log_ratio: float | None
    se_log_ratio: float | None
    p: float | None
    dispersion: float | None
    df: int
    n_treated: int
    n_control: int
    n_blocks: int
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def trial_effect(
    treated_before: Sequence[int],
    treated_after: Sequence[int],
    control_before: Sequence[int],
    control_after: Sequence[int],
    treated_effort: Sequence[float] | None = None,
    control_effort: Sequence[float] | None = None,
    treated_blocks: Sequence[str | int] | None = None,
    control_blocks: Sequence[str | int] | None = None,
    level: float = 0.95,
) -> TrialEffect:
    """Give the effect of a treatment from counts before and after on each treated and untreated unit.

    Parameters
    ----------
    treated_before, treated_after, control_before, control_after
        Total counted on each unit (what was treated or left as one: a board, or a bed with its boards).
    treated_effort, control_effort
        Times each unit was counted after for each time before [above 0]; 1 when left out.
    treated_blocks, control_blocks
        Block of each unit; both or neither.
    level
        Level of the interval.

    Returns
    -------
    TrialEffect

    Raises
    ------
    InputFault
        When lists do not match.

    Notes
    -----
    Given the total of a unit, what was counted after is binomial with odds ``effort x block x ratio if treated``.
    Whether a board is a good or a bad spot cancels, and so does what the season did to its block. Maximum
    likelihood; ``se² = phi / sum over blocks of I_t I_c / (I_t + I_c)`` with the information of each kind and
    Pearson's ``phi`` (at least 1) over units - blocks - 1 degrees of freedom, t quantile. With one block and equal
    effort the ratio is Henderson and Tilton's, and ``se² = phi (1/Ta + 1/Tb + 1/Ca + 1/Cb)``. With nothing left
    where treated the ratio is 0, and its upper limit comes from totals with a half added.

    References
    ----------
    McCullagh, P. & Nelder, J. A. (1989), Generalized Linear Models, 4.5 and 7.4. Henderson, C. F. & Tilton, E. W.
    (1955), J. Econ. Entomol. 48, 157-161.

    Examples
    --------
    >>> answer = trial_effect([8, 5, 7], [3, 2, 3], [6, 7, 5], [9, 8, 7])
    >>> round(answer.percent, 1), round(answer.low, 1), round(answer.high, 1)
    (70.0, -27.7, 93.0)
    """
    treated = read_units("treated", treated_before, treated_after, treated_effort, treated_blocks)
    control = read_units("control", control_before, control_after, control_effort, control_blocks)
    fit = fit_blocks(treated, control, (treated_blocks is None, control_blocks is None))
    return _answer(fit, treated, control, level)


def _answer(fit: Fit, treated: Sequence[Unit], control: Sequence[Unit], level: float) -> TrialEffect:
    from scipy.special import stdtr

    ratio, low, high = _limits(fit, level)
    log_ratio = fit.log_ratio if ratio else None
    se = fit.se if log_ratio is not None else None
    p = None
    if log_ratio is not None and se is not None and fit.df > 0:
        p = 2 * float(stdtr(fit.df, -abs(log_ratio) / se))
    return TrialEffect(
        percent=_percent(ratio),
        low=_percent(high),
        high=_percent(low),
        ratio=ratio,
        ratio_low=low,
        ratio_high=high,
        log_ratio=log_ratio,
        se_log_ratio=se,
        p=p,
        dispersion=fit.dispersion,
        df=fit.df,
        n_treated=fit.n_treated,
        n_control=fit.n_control,
        n_blocks=fit.n_blocks,
        why_not=effect_why_not(fit, treated, control, endless=ratio is not None and high is None),
        cautions=effect_cautions(fit),
    )


def _limits(fit: Fit, level: float) -> tuple[float | None, float | None, float | None]:
    """Ratio and its limits."""
    if fit.n_blocks == 0 or fit.log_ratio == math.inf:
        return None, None, None
    reach = _quantile(level, fit.df)
    if fit.log_ratio == -math.inf:
        ta, tb, ca, cb = (count + HALF for count in fit.totals)
        centre = math.log(ta) - math.log(tb) - math.log(ca) + math.log(cb) - fit.log_effort
        return 0.0, 0.0, _exp(centre + reach * math.sqrt(1 / ta + 1 / tb + 1 / ca + 1 / cb))
    if fit.log_ratio is None or fit.se is None:
        return None, None, None
    return math.exp(fit.log_ratio), _exp(fit.log_ratio - reach * fit.se), _exp(fit.log_ratio + reach * fit.se)


def _quantile(level: float, df: int) -> float:
    """Two-sided t quantile; the normal one where there are no degrees of freedom."""
    from scipy.special import ndtri, stdtrit

    tail = (1 - level) / 2
    return -float(stdtrit(df, tail)) if df > 0 else -float(ndtri(tail))


def _exp(log: float) -> float | None:
    return math.exp(log) if log < 700 else None


def _percent(ratio: float | None) -> float | None:
    return None if ratio is None else 100 * (1 - ratio)


def _counts(key: str, doc: str) -> Param:
    return Param(key, "counts", min_len=1, max_len=MOST_UNITS, high=1e6, doc=doc)


def _efforts(key: str) -> Param:
    return Param(
        key,
        "numbers",
        required=False,
        default=None,
        low=1e-6,
        high=1e6,
        max_len=MOST_UNITS,
        doc="Times each was counted after for each time before; 1 when left out.",
    )


def _blocks(key: str) -> Param:
    return Param(
        key, "labels", required=False, default=None, max_len=MOST_UNITS, doc="Block of each; both or neither."
    )


CALCULATION = Calculation(
    name="trial-effect",
    question="By how much did treated boards change against untreated ones?",
    source="McCullagh & Nelder 1989, Generalized Linear Models; Henderson & Tilton 1955, J. Econ. Entomol. 48:157",
    method=METHOD,
    params=(
        _counts("treated_before", "Counted on each treated board or bed, before."),
        _counts("treated_after", "Counted on each treated board or bed, after."),
        _counts("control_before", "Counted on each untreated board or bed, before."),
        _counts("control_after", "Counted on each untreated board or bed, after."),
        _efforts("treated_effort"),
        _efforts("control_effort"),
        _blocks("treated_blocks"),
        _blocks("control_blocks"),
        LEVEL,
    ),
    run=trial_effect,
    example={
        "treated_before": [8, 5, 7, 4, 9, 6],
        "treated_after": [3, 2, 4, 0, 5, 3],
        "control_before": [6, 7, 5, 8, 3, 7],
        "control_after": [9, 8, 7, 9, 5, 6],
    },
    returns={
        "percent, low, high": "percent fewer than without treatment; negative means more",
        "ratio, ratio_low, ratio_high": "change where treated over change where not; 1 is no effect",
        "log_ratio, se_log_ratio": "the scale of the interval",
        "p": "chance of a ratio as far from 1 if the treatment did nothing",
        "dispersion": "how much more than chance the units differ in their change",
        "df": "its degrees of freedom",
        "n_treated, n_control, n_blocks": "what it rests on",
    },
    rules=(
        "Count as one what was treated as one: a bed that was drenched is one unit, however many boards lie in it.",
        "A unit with nothing before and nothing after says nothing and is left out.",
        "A block with only treated or only untreated units, or with nothing before or nothing after, is left out.",
        "One unit a side: the interval takes scatter as chance alone and is too narrow; it says so.",
    ),
    needs_scipy=True,
)
