"""Farrington 1996 written from the paper with statsmodels' quasi-Poisson regression, one week at a time.

Apart from the product's code, which has a regression of its own for many weeks at once. For tests and the bench.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import statsmodels.api as sm
from scipy import stats


def limit_by_statsmodels(
    reference: Sequence[int], offsets: Sequence[int], alpha: float, tight: bool = True
) -> tuple[float, float]:
    """Expected count and upper limit of the week at offset 0.

    Parameters
    ----------
    reference, offsets
        Counts of earlier weeks, at least three years of them, and how many weeks from now each was (negative).
    alpha
        Two-sided chance of a false alarm.
    tight
        Iterate to the last digit, or stop where R's glm does (deviance changed by less than 1e-8 of itself).
    """
    y, t = np.array(reference, float), np.array(offsets, float)
    stop = {"tol": 1e-12, "maxiter": 200} if tight else {"tol": 1e-9, "rtol": 1e-8, "maxiter": 25}

    def twice(x: Any) -> Any:
        first = sm.GLM(y, x, family=sm.families.Poisson()).fit(scale="X2", **stop)
        phi = max(first.scale, 1.0)
        q, _ = np.linalg.qr(x * np.sqrt(first.mu)[:, None])
        hat = (q**2).sum(axis=1)
        s = 1.5 * (y ** (2 / 3) * first.mu ** (-1 / 6) - np.sqrt(first.mu)) / np.sqrt(phi * (1 - hat))
        weight = np.where(s > 1, s**-2.0, 1.0)
        weight *= len(y) / weight.sum()
        model = sm.GLM(y, x, family=sm.families.Poisson(), var_weights=weight)
        return model.fit(scale="X2", use_t=True, **stop)

    fit = twice(np.column_stack([np.ones(len(y)), t]))
    at = np.array([[1.0, 0.0]])
    if not (fit.pvalues[1] < 0.05 and math.exp(fit.params[0]) <= y.max()):
        fit, at = twice(np.ones((len(y), 1))), np.array([[1.0]])
    mean = float(np.exp(at @ fit.params)[0])
    phi = max(fit.scale, 1.0)
    var = float((at @ (fit.cov_params() / fit.scale) @ at.T)[0, 0]) * phi * mean**2
    z = float(stats.norm.isf(alpha / 2))
    return mean, mean * (1 + 2 / 3 * z / mean * math.sqrt(phi * mean + var)) ** 1.5


def watched_by_statsmodels(
    counts: Sequence[int], b: int, w: int, frequency: int, alpha: float
) -> list[tuple[float, float]]:
    """Expected count and limit of every week that has b full years before it."""
    offsets = [-year * frequency + shift for year in range(b, 0, -1) for shift in range(-w, w + 1)]
    return [
        limit_by_statsmodels([counts[i + offset] for offset in offsets], offsets, alpha, tight=False)
        for i in range(b * frequency + w, len(counts))
    ]
