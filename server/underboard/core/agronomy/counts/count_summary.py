"""What do these boards say together: how many, how clumped, how sure?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.agronomy.answer import optional
from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.counts.clusters import cluster_limits
from underboard.core.agronomy.counts.count_words import summary_cautions, summary_why_not
from underboard.core.agronomy.counts.negative_binomial import clumping_limits, likeliest_clumping, mean_limits
from underboard.core.agronomy.counts.poisson_interval import garwood
from underboard.core.agronomy.counts.spread import spread
from underboard.core.agronomy.counts.tally import Tally, tally
from underboard.core.errors import InputFault

# The correction of the profile's cut-off, found by simulation (see HONESTY.md): with n clumped boards the
# likelihood ratio at the true mean is about (1 + 1.5/n) times chi-squared.
CORRECTION = 1.5
# No slug, no clumping to be seen: the calibrated upper limit then takes boards to be as clumped as slug boards can
# be, k 0.3 (Crawley's nursery grassland), because a nil result is likelier the more they clump.
NIL_K = 0.3


@dataclass(frozen=True)
class CountSummary:
    """A set of counts in figures. All are counts per board unless said otherwise.

    Attributes
    ----------
    n, total, n_zero
        Boards, slugs, boards with none.
    mean, variance, variance_mean_ratio
        Variance with divisor n - 1.
    poisson_low, poisson_high
        Exact Poisson limits of the mean: what ignoring the clumping would claim.
    k_moment, k, k_low, k_high
        Clumping, small is clumped: by moments, by maximum likelihood, and its profile limits.
    log_likelihood, log_likelihood_poisson
        Of the likeliest negative binomial law and of the Poisson law.
    mean_low, mean_high
        Limits of the mean by profile likelihood.
    mean_low_calibrated, mean_high_calibrated
        The same with the cut-off corrected for few boards: the interval to believe.
    mean_low_wald, mean_high_wald
        Limits from the standard error on the log scale, for comparison.
    mean_low_cluster, mean_high_cluster
        Only when clusters are given: limits that let each group go up and down together.
    dispersion_chi2, dispersion_df, dispersion_p
        Fisher's test of pure chance.
    lloyd, morisita
        Mean crowding and Morisita's index.
    model
        ``poisson`` or ``negative-binomial``, whichever is likeliest.
    """

    n: int
    total: int
    mean: float
    variance: float | None
    variance_mean_ratio: float | None
    n_zero: int
    poisson_low: float
    poisson_high: float
    k_moment: float | None
    k: float | None
    k_low: float | None
    k_high: float | None
    log_likelihood: float
    log_likelihood_poisson: float
    mean_low: float
    mean_high: float | None
    mean_low_calibrated: float
    mean_high_calibrated: float | None
    mean_low_wald: float | None
    mean_high_wald: float | None
    dispersion_chi2: float | None
    dispersion_df: int
    dispersion_p: float | None
    lloyd: float | None
    morisita: float | None
    model: str
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    mean_low_cluster: float | None = optional()
    mean_high_cluster: float | None = optional()


def count_summary(
    counts: Sequence[int], clusters: Sequence[str] | None = None, level: float = 0.95
) -> CountSummary:
    """Summarise counts of equal boards or traps.

    Parameters
    ----------
    counts
        One whole number a board; boards not turned or spoiled must be left out [at least one].
    clusters
        The group each board belongs to (bed, evening), when boards of one group may go together.
    level
        Level of all intervals.

    Returns
    -------
    CountSummary

    Raises
    ------
    InputFault
        When clusters do not match the counts one by one.

    Notes
    -----
    Negative binomial law with mean m and clumping k (variance ``m + m²/k``); m and k by maximum likelihood.
    `mean_low` and `mean_high` are where twice the profile log likelihood (k set anew at each mean) has fallen
    by the chi-squared quantile. With few clumped boards that is a little short; the calibrated limits
    multiply the quantile by ``1 + 1.5/n`` when the variance exceeds the mean.
    When all counts are 0, or there is one board, no clumping can be seen and the Poisson limits stand in; for
    counts all 0 the calibrated upper limit is the one for k = 0.3, ``0.3 (((1 - level)/2)^(-1/(0.3 n)) - 1)``.

    References
    ----------
    Anscombe, F. J. (1950), Sampling theory of the negative binomial and logarithmic series distributions,
    Biometrika 37, 358-382. Garwood, F. (1936), Biometrika 28, 437-442. Bartlett, M. S. (1937), Proc. R. Soc.
    A 160, 268-282 (the idea of scaling a likelihood ratio; the factor is from simulation).

    Examples
    --------
    >>> answer = count_summary([14, 2, 0, 31, 5, 9, 0, 3, 22, 1, 6, 4])
    >>> round(answer.mean, 3), round(answer.k, 4), answer.model
    (8.083, 0.7364, 'negative-binomial')
    """
    if clusters is not None and len(clusters) != len(counts):
        raise InputFault(
            "/clusters", f"Give one cluster for each of the {len(counts)} counts; there are {len(clusters)}."
        )
    seen = tally(counts)
    about = spread(seen)
    poisson = garwood(seen.total, level)
    poisson_low, poisson_high = poisson[0] / seen.n, poisson[1] / seen.n
    fitted = _fit(seen, level, poisson_low, poisson_high, about.k_moment is not None)
    grouped = cluster_limits(counts, clusters, level) if clusters is not None else None
    return CountSummary(
        n=seen.n,
        total=seen.total,
        mean=seen.mean,
        variance=about.variance,
        variance_mean_ratio=about.variance_mean_ratio,
        n_zero=sum(1 for count in counts if count == 0),
        poisson_low=poisson_low,
        poisson_high=poisson_high,
        k_moment=about.k_moment,
        k=1 / fitted.a if fitted.a > 0 else None,
        k_low=1 / fitted.a_high if fitted.a_high else None,
        k_high=1 / fitted.a_low if fitted.a_low else None,
        log_likelihood=seen.log_likelihood(seen.mean, fitted.a),
        log_likelihood_poisson=seen.log_likelihood(seen.mean, 0.0),
        mean_low=fitted.plain[0],
        mean_high=fitted.plain[1],
        mean_low_calibrated=fitted.calibrated[0],
        mean_high_calibrated=fitted.calibrated[1],
        mean_low_wald=fitted.wald[0],
        mean_high_wald=fitted.wald[1],
        dispersion_chi2=about.chi2,
        dispersion_df=about.df,
        dispersion_p=about.p,
        lloyd=about.lloyd,
        morisita=about.morisita,
        model="negative-binomial" if fitted.a > 0 else "poisson",
        why_not=summary_why_not(seen, about, fitted.a, fitted.a_low, fitted.calibrated[1], grouped, clusters),
        cautions=summary_cautions(seen, about, clusters, grouped),
        mean_low_cluster=grouped[0] if grouped else None,
        mean_high_cluster=grouped[1] if grouped else None,
    )


@dataclass(frozen=True)
class _Fitted:
    a: float
    a_low: float | None
    a_high: float | None
    plain: tuple[float, float | None]
    calibrated: tuple[float, float | None]
    wald: tuple[float | None, float | None]


def nil_limit(n: int, level: float) -> float | None:
    """Upper limit of the mean when n boards [2 or more] had none, for boards as clumped as `NIL_K`.

    Solves ``(1 + m/k)^(-k n) = (1 - level)/2``; None when it is too large to be of use.
    """
    power = -math.log((1 - level) / 2) / (NIL_K * n)
    return NIL_K * math.expm1(power) if power < 20 else None


def _fit(seen: Tally, level: float, poisson_low: float, poisson_high: float, clumped: bool) -> _Fitted:
    from scipy.special import chdtri, ndtri

    if seen.total == 0:
        stand_in = (poisson_low, poisson_high)
        nil = (0.0, nil_limit(seen.n, level)) if seen.n > 1 else stand_in
        return _Fitted(0.0, None, None, stand_in, nil, (None, None))
    z = -float(ndtri((1 - level) / 2))
    a = likeliest_clumping(seen, seen.mean) if seen.n > 1 else 0.0
    reach = math.exp(z * math.sqrt((1 / seen.mean + a) / seen.n))
    wald = (seen.mean / reach, seen.mean * reach)
    if seen.n == 1:
        return _Fitted(0.0, None, None, (poisson_low, poisson_high), (poisson_low, poisson_high), wald)
    drop = float(chdtri(1, 1 - level))
    plain = calibrated = mean_limits(seen, a, drop)
    if clumped:
        calibrated = mean_limits(seen, a, drop * (1 + CORRECTION / seen.n))
    a_low, a_high = clumping_limits(seen, a, drop)
    return _Fitted(a, a_low, a_high, plain, calibrated, wald)


@dataclass(frozen=True)
class MeanLimits:
    """The mean a board with the limits to believe: those of `count_summary`, and nothing else of it."""

    mean: float
    low: float
    high: float | None
    clumped: bool


def mean_with_limits(counts: Sequence[int], level: float = 0.95) -> MeanLimits:
    """Give mean and calibrated limits alone, for a series of hundreds of rounds.

    Parameters
    ----------
    counts
        One whole number a board [at least one].
    level
        Level of the interval.
    """
    from scipy.special import chdtri

    seen = tally(counts)
    a = likeliest_clumping(seen, seen.mean) if seen.n > 1 and seen.total > 0 else 0.0
    poisson_low, poisson_high = garwood(seen.total, level)
    if seen.total == 0 or seen.n == 1:
        nil = nil_limit(seen.n, level) if seen.total == 0 and seen.n > 1 else poisson_high / seen.n
        return MeanLimits(seen.mean, poisson_low / seen.n, nil, False)
    drop = float(chdtri(1, 1 - level))
    if spread(seen).k_moment is not None:
        drop *= 1 + CORRECTION / seen.n
    low, high = mean_limits(seen, a, drop)
    return MeanLimits(seen.mean, low, high, a > 0)


CALCULATION = Calculation(
    name="count-summary",
    question="What do these boards say together: how many, how clumped, how sure?",
    source="Anscombe 1950, Biometrika 37:358; Garwood 1936, Biometrika 28:437",
    method="negative binomial by maximum likelihood, profile likelihood intervals",
    params=(
        Param("counts", "counts", min_len=1, max_len=200_000, doc="One whole number a board."),
        Param(
            "clusters",
            "labels",
            required=False,
            default=None,
            doc="The group each board belongs to (bed, evening), one label a board.",
        ),
        LEVEL,
    ),
    run=count_summary,
    example={"counts": [14, 2, 0, 31, 5, 9, 0, 3, 22, 1, 6, 4]},
    returns={
        "n": "boards",
        "total": "slugs on them",
        "mean": "slugs a board",
        "variance": "with divisor n - 1",
        "variance_mean_ratio": "1 for chance alone",
        "n_zero": "boards with none",
        "poisson_low, poisson_high": "limits of the mean if slugs fell by chance: too narrow when they clump",
        "k_moment": "clumping by moments",
        "k, k_low, k_high": "clumping by maximum likelihood, with profile limits; small is clumped",
        "log_likelihood, log_likelihood_poisson": "of the fitted law and of the Poisson law",
        "mean_low, mean_high": "limits of the mean by profile likelihood",
        "mean_low_calibrated, mean_high_calibrated": "the same corrected for few boards: the ones to believe",
        "mean_low_wald, mean_high_wald": "limits from the standard error, for comparison",
        "mean_low_cluster, mean_high_cluster": "only with clusters: limits that let groups go together",
        "dispersion_chi2, dispersion_df, dispersion_p": "Fisher's test of chance alone",
        "lloyd": "mean crowding",
        "morisita": "Morisita's index",
        "model": "poisson or negative-binomial",
    },
    rules=(
        "Variance not above the mean: k is null, the Poisson law is the likeliest.",
        "All counts 0, or one board: clumping cannot be seen and the Poisson limits stand in.",
        "All counts 0: the calibrated upper limit takes boards to be clumped with k 0.3.",
        "A limit that the counts leave open is null and why_not says so.",
        "Intervals assume that boards are independent: give clusters when they are not.",
        "How often the intervals hold the true mean, by simulation, stands in HONESTY.md beside the source.",
    ),
    needs_scipy=True,
)
