"""Do treated boards have fewer than untreated ones, and by what factor?"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.trials.compare_words import (
    compare_cautions,
    compare_headline,
    compare_why_not,
)
from underboard.core.agronomy.trials.groups import CommonFit, Group, fit_common, read_groups
from underboard.core.agronomy.trials.rank_sums import kruskal
from underboard.core.errors import InputFault


@dataclass(frozen=True)
class RateRatio:
    """One group against the reference: counts per effort, group over reference.

    Attributes
    ----------
    ratio
        Ratio of totals per effort.
    poisson_low, poisson_high
        Limits if finds fell by chance alone.
    exact_low, exact_high
        The same without approximation (conditional binomial).
    quasi_low, quasi_high
        Poisson standard error widened by the dispersion, t quantile.
    nb_ratio, nb_low, nb_high, nb_p
        Negative binomial with one clumping for all groups: estimate, limits, p of no difference.
    """

    group: str
    ratio: float | None
    poisson_low: float | None
    poisson_high: float | None
    exact_low: float | None
    exact_high: float | None
    quasi_low: float | None
    quasi_high: float | None
    nb_ratio: float | None
    nb_low: float | None
    nb_high: float | None
    nb_p: float | None


@dataclass(frozen=True)
class Compare:
    """Groups against a reference.

    Attributes
    ----------
    dispersion
        Pearson's chi-squared over its degrees of freedom: 1 for chance alone.
    theta
        Common clumping of the negative binomial law (small is clumped); None when there is none.
    log_likelihood
        Of that law.
    ratios
        One entry a group, the reference left out.
    headline
        Which interval to believe, and why.
    believe
        The same in a word: ``poisson``, ``quasi``, ``nb`` or ``none``.
    kruskal_p
        Kruskal-Wallis test over all groups.
    """

    dispersion: float | None
    dispersion_df: int
    theta: float | None
    log_likelihood: float
    reference: str
    ratios: tuple[RateRatio, ...]
    headline: str
    believe: str
    kruskal_p: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def compare(
    groups: Mapping[str, Sequence[int]],
    effort: Mapping[str, Sequence[float]] | None = None,
    reference: str | None = None,
    level: float = 0.95,
) -> Compare:
    """Compare counts of several treatments with a reference.

    Parameters
    ----------
    groups
        Name → counts, one a board or plot [at least two groups].
    effort
        Name → effort of each count (nights, area, or the count before) [above 0]; all 1 when left out.
    reference
        The group that the others are held against; the first when left out.
    level
        Level of the intervals.

    Returns
    -------
    Compare

    Raises
    ------
    InputFault
        When effort does not match, or the reference is no group.

    Notes
    -----
    Log-link rate ratios. Poisson: ``se² = 1/T_g + 1/T_ref``. Quasi-Poisson: se times the root of Pearson's
    dispersion, t with N - groups degrees of freedom. Negative binomial: one theta for all groups by maximum
    likelihood, se from the expected information with theta taken as known (as R's glm.nb does).

    References
    ----------
    McCullagh, P. & Nelder, J. A. (1989), Generalized Linear Models. Lawless, J. F. (1987), Can. J. Stat. 15,
    209-225. Kruskal, W. H. & Wallis, W. A. (1952), J. Am. Stat. Assoc. 47, 583-621.

    Examples
    --------
    >>> answer = compare({"untreated": [3, 8, 2, 6, 4], "treated": [4, 0, 1, 1, 0]})
    >>> round(answer.ratios[0].ratio, 4)
    0.2609
    """
    if len(groups) < 2:
        raise InputFault("/groups", "A comparison needs at least two groups.")
    read = read_groups(groups, effort)
    name = reference if reference is not None else read[0].name
    base = next((group for group in read if group.name == name), None)
    if base is None:
        raise InputFault("/reference", f'There is no group "{name[:40]}".')
    fit = fit_common(read)
    df = sum(len(group.counts) for group in read) - len(read)
    dispersion = _dispersion(read, df)
    ratios = tuple(
        _against(group, base, read, fit, dispersion, df, level) for group in read if group is not base
    )
    believe, headline = compare_headline(dispersion, fit.a, df, base)
    rates = [[x / e for x, e in zip(group.counts, group.effort, strict=True)] for group in read]
    p = kruskal(rates)
    return Compare(
        dispersion=dispersion,
        dispersion_df=df,
        theta=1 / fit.a if fit.a > 0 else None,
        log_likelihood=fit.log_likelihood,
        reference=base.name,
        ratios=ratios,
        headline=headline,
        believe=believe,
        kruskal_p=p,
        why_not=compare_why_not(read, base, fit.a, dispersion, p),
        cautions=compare_cautions(read, effort is not None),
    )


def _dispersion(groups: Sequence[Group], df: int) -> float | None:
    """Pearson's chi-squared over its degrees of freedom, by the Poisson rates."""
    if df == 0 or all(group.total == 0 for group in groups):
        return None
    squares = 0.0
    for group in groups:
        if group.total:
            x, effort = group.arrays
            mu = group.rate * effort
            squares += float(((x - mu) ** 2 / mu).sum())
    return squares / df


def _against(
    group: Group,
    base: Group,
    read: Sequence[Group],
    fit: CommonFit,
    dispersion: float | None,
    df: int,
    level: float,
) -> RateRatio:
    from scipy.special import ndtr, ndtri, stdtrit

    ratio = group.rate / base.rate if base.total else None
    exact_low, exact_high = _exact(group, base, level)
    if not ratio:
        low = 0.0 if ratio == 0 else None
        return RateRatio(
            group.name, ratio, low, exact_high, exact_low, exact_high, None, None, ratio, None, None, None
        )
    tail = (1 - level) / 2
    z = -float(ndtri(tail))
    se = math.sqrt(1 / group.total + 1 / base.total)
    poisson = _limits(math.log(ratio), z * se)
    quasi: tuple[float | None, float | None] = (None, None)
    if dispersion is not None:
        quasi = _limits(math.log(ratio), -float(stdtrit(df, tail)) * se * math.sqrt(dispersion))
    place, base_place = read.index(group), read.index(base)
    centre = (fit.log_rates[place] or 0.0) - (fit.log_rates[base_place] or 0.0)
    nb_se = math.sqrt((fit.variances[place] or 0.0) + (fit.variances[base_place] or 0.0))
    nb = _limits(centre, z * nb_se)
    nb_p = 2 * float(ndtr(-abs(centre) / nb_se))
    return RateRatio(group.name, ratio, *poisson, exact_low, exact_high, *quasi, math.exp(centre), *nb, nb_p)


def _limits(centre: float, reach: float) -> tuple[float | None, float | None]:
    high = centre + reach
    return math.exp(centre - reach), math.exp(high) if high < 700 else None


def _exact(group: Group, base: Group, level: float) -> tuple[float | None, float | None]:
    """Limits of the ratio by conditioning on the sum of both totals (Clopper-Pearson)."""
    from scipy.special import betaincinv

    x, y = group.total, base.total
    if x + y == 0:
        return None, None
    tail = (1 - level) / 2
    scale = base.total_effort / group.total_effort
    low = high = None
    if x > 0:
        share = float(betaincinv(x, y + 1, tail))
        low = share / (1 - share) * scale
    if y > 0:
        # The share of the reference, so that the odds keep their digits when it is small.
        share = float(betaincinv(y, x + 1, tail))
        high = (1 - share) / share * scale if share > 0 else None
    return (0.0 if x == 0 else low), high


CALCULATION = Calculation(
    name="compare",
    question="Do treated boards have fewer than untreated ones, and by what factor?",
    source="McCullagh & Nelder 1989, Generalized Linear Models; Lawless 1987, Can. J. Stat. 15:209",
    method="log-link rate ratios: Poisson, quasi-Poisson (t), negative binomial with one theta "
    "(expected information, theta as known)",
    params=(
        Param("groups", "named_counts", max_len=1000, doc="Name of each treatment with its counts."),
        Param(
            "effort",
            "named_numbers",
            required=False,
            default=None,
            low=1e-9,
            high=1e9,
            max_len=1000,
            doc="Effort of each count, by the same names (nights, area, or the count before).",
        ),
        Param(
            "reference",
            "text",
            required=False,
            default=None,
            doc="The group the others are held against; the first when left out.",
        ),
        LEVEL,
    ),
    run=compare,
    example={
        "groups": {"untreated": [3, 8, 2, 6, 4, 7, 1, 5], "treated": [4, 0, 1, 1, 0, 2, 0, 3]},
        "reference": "untreated",
    },
    returns={
        "dispersion": "1 for chance alone; the figure efficacy asks for",
        "dispersion_df": "its degrees of freedom",
        "theta": "common clumping, small is clumped",
        "log_likelihood": "of the negative binomial law",
        "reference": "the group the others are held against",
        "ratios": "for each other group: ratio with poisson, exact, quasi and nb limits, nb_ratio and nb_p",
        "headline": "which interval to believe and why",
        "believe": "the same in a word",
        "kruskal_p": "Kruskal-Wallis test over all groups",
    },
    rules=(
        "Nothing in a group: ratio 0 with an exact upper limit; nothing in the reference: no ratio.",
        "Scatter below chance: theta is null and the negative binomial limits are the Poisson ones.",
        "With unequal effort nb_ratio differs from the ratio of totals.",
    ),
    needs_scipy=True,
)
