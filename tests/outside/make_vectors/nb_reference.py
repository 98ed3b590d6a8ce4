"""Negative binomial maximum likelihood and profile intervals by scipy, for the vectors of count-summary.

Written from the definition (stats.nbinom.logpmf, root search on the likelihood), apart from the product's
code, which uses a rewritten likelihood in 1/k.
"""

from typing import Any

import numpy as np
import statsmodels.api as sm
from scipy.optimize import brentq
from scipy.special import digamma
from scipy.stats import chi2, nbinom, norm, poisson
from scipy.stats import t as student

POISSON_K = 1e7  # beyond this the law is Poisson to within what the profile can tell


def log_likelihood(x: np.ndarray, m: float, k: float) -> float:
    return float(nbinom.logpmf(x, k, k / (k + m)).sum())


def poisson_log_likelihood(x: np.ndarray, m: float) -> float:
    return float(poisson.logpmf(x, m).sum())


def best_k(x: np.ndarray, m: float) -> float:
    """The k of highest likelihood at mean m; infinity where the scatter about m is at most Poisson."""
    if ((x - m) ** 2).sum() <= x.sum():
        return float("inf")

    def slope(log_k: float) -> float:
        k = np.exp(log_k)
        return float((digamma(x + k) - digamma(k) + np.log(k / (k + m)) + (m - x) / (k + m)).sum() * k)

    # Differences of digamma keep few digits when k is huge, so the search goes no further out than it must.
    far = next((k for k in (1e4, POISSON_K) if slope(np.log(k)) < 0), None)
    if far is None:
        return float("inf")
    return float(np.exp(brentq(slope, np.log(1e-4), np.log(far), xtol=1e-14, rtol=1e-14)))


def profile(x: np.ndarray, m: float) -> float:
    k = best_k(x, m)
    return poisson_log_likelihood(x, m) if np.isinf(k) else log_likelihood(x, m, k)


def summary(counts: list[int], level: float) -> dict[str, Any]:
    x = np.array(counts)
    n, total, m = len(x), int(x.sum()), float(x.mean())
    variance = float(x.var(ddof=1))
    drop = float(chi2.isf(1 - level, 1)) / 2
    tail = (1 - level) / 2
    k = best_k(x, m)
    top = profile(x, m)

    def mean_limit(step: float, scale: float = 1.0) -> float:
        def fall(u: float) -> float:
            return profile(x, u) - (top - drop * scale)

        far = m * step
        while fall(far) > 0:
            far *= step
        return float(brentq(fall, far / step, far, xtol=1e-13, rtol=1e-13))

    def k_fall(log_k: float) -> float:
        return log_likelihood(x, m, float(np.exp(log_k))) - (top - drop)

    finite = not np.isinf(k)
    peak = np.log(k) if finite else np.log(1e6)
    open_above = poisson_log_likelihood(x, m) >= top - drop
    se_log = ((1 / m + (1 / k if finite else 0)) / n) ** 0.5
    z = float(norm.isf(tail))
    scale = 1 + 1.5 / n if variance > m else 1.0
    chi = float(((x - m) ** 2).sum() / m)
    return {
        "n": n,
        "total": total,
        "mean": m,
        "variance": variance,
        "variance_mean_ratio": variance / m,
        "n_zero": int((x == 0).sum()),
        "poisson_low": float(chi2.ppf(tail, 2 * total) / 2 / n),
        "poisson_high": float(chi2.isf(tail, 2 * total + 2) / 2 / n),
        "k_moment": m * m / (variance - m) if variance > m else None,
        "k": k if finite else None,
        "k_low": float(np.exp(brentq(k_fall, np.log(1e-3), peak, xtol=1e-13, rtol=1e-13))),
        "k_high": None
        if open_above
        else float(np.exp(brentq(k_fall, peak, np.log(1e6), xtol=1e-13, rtol=1e-13))),
        "log_likelihood": top,
        "log_likelihood_poisson": poisson_log_likelihood(x, m),
        "mean_low": mean_limit(0.8),
        "mean_high": mean_limit(1.25),
        # The cut-off scaled by 1 + 1.5/n for clumped boards: the rule is ours, the likelihood is scipy's.
        "mean_low_calibrated": mean_limit(0.8, scale),
        "mean_high_calibrated": mean_limit(1.25, scale),
        "mean_low_wald": m * float(np.exp(-z * se_log)),
        "mean_high_wald": m * float(np.exp(z * se_log)),
        "dispersion_chi2": chi,
        "dispersion_df": n - 1,
        "dispersion_p": float(chi2.sf(chi, n - 1)),
        "lloyd": m + variance / m - 1,
        "morisita": float(n * (x * (x - 1)).sum() / (total * (total - 1))),
        "model": "negative-binomial" if finite else "poisson",
    }


def clustered(counts: list[int], clusters: list[str], level: float) -> dict[str, Any]:
    """Limits of the mean by a Poisson regression with cluster-robust variance (statsmodels GEE)."""
    groups = len(set(clusters))
    x = np.array(counts)
    names = np.array(clusters)
    model = sm.GEE(x, np.ones((len(x), 1)), groups=names, family=sm.families.Poisson())
    # The robust covariance of GEE has no small-sample factor; G/(G - 1) is put to it here.
    error = float(model.fit(cov_type="robust").bse[0]) * (groups / (groups - 1)) ** 0.5
    reach = float(np.exp(student.isf((1 - level) / 2, groups - 1) * error))
    return {"mean_low_cluster": float(x.mean()) / reach, "mean_high_cluster": float(x.mean()) * reach}
