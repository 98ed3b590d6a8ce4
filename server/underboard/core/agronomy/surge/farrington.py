"""Farrington 1996: the count against the same weeks of earlier years."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from underboard.core.agronomy.surge.log_linear import Fit, fit_rows
from underboard.core.agronomy.surge.point import Point

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# Fewer counts than this in the last four units never raise an alarm.
FEWEST, IN_UNITS = 5, 4
# Rows of reference values worked on at once.
SLAB_VALUES = 500_000


def farrington(counts: Sequence[int | None], b: int, w: int, frequency: int, alpha: float) -> list[Point]:
    """Watch a seasonal series.

    Parameters
    ----------
    counts
        The series; None where nothing was surveyed: such places are no reference and get no point.
    b
        Years to look back [from 1].
    w
        Units either side of the same unit in each year [from 0; 2 w + 1 at most `frequency`].
    frequency
        Units in a year (52 weeks).
    alpha
        Two-sided chance of a false alarm aimed at.

    Returns
    -------
    list of Point
        From the first place with b full years before it. Score is (count - expected)/(limit - expected).

    Notes
    -----
    Quasi-Poisson regression on the reference counts with a linear trend, fitted twice: past outbreaks (Anscombe
    residual s > 1) get weight s^-2 in the second fit. The trend is kept when b ≥ 3, its p < 0.05 and the
    forecast is no higher than any reference count. Limit by the 2/3 power:
    ``U = m (1 + (2/3) z sqrt(phi m + var)/m)^1.5``, phi at least 1. No alarm with fewer than 5 counts in the
    last 4 units, the newest included.

    References
    ----------
    Farrington, C. P., Andrews, N. J., Beale, A. D. & Catchpole, M. A. (1996), A statistical algorithm for the
    early detection of outbreaks of infectious disease, J. R. Stat. Soc. A 159, 547-563.
    """
    import numpy as np

    series = np.array([np.nan if count is None else count for count in counts], float)
    places = np.arange(b * frequency + w, len(series))
    places = places[np.isfinite(series[places])]
    offsets = np.array(
        [-year * frequency + shift for year in range(b, 0, -1) for shift in range(-w, w + 1)], float
    )
    if len(places) == 0:
        return []
    recent = np.convolve(np.nan_to_num(series), np.ones(IN_UNITS))[: len(series)]
    rows = max(SLAB_VALUES // len(offsets), 1)
    points: list[Point] = []
    for start in range(0, len(places), rows):
        part = places[start : start + rows]
        reference = series[part[:, None] + offsets.astype(int)[None, :]]
        expected, limit = _limits(reference, offsets, b, alpha)
        for i, mean, above in zip(part, expected, limit, strict=True):
            if not np.isfinite(mean):
                continue
            count = float(series[i])
            score = (count - mean) / (above - mean) if above > mean else None
            alarm = bool(count > above and recent[i] >= FEWEST)
            points.append(
                Point(
                    int(i), count, float(mean), float(above), None if score is None else float(score), alarm
                )
            )
    return points


def _limits(reference: Floats, offsets: Floats, b: int, alpha: float) -> tuple[Floats, Floats]:
    """Expected count and upper limit for rows of reference counts (NaN where not surveyed)."""
    import numpy as np
    from scipy.special import ndtri

    level = _twice_fitted(reference, offsets, trend=False)
    expected, variance, phi = level.mean, level.variance, level.phi
    if b >= 3:
        sloped = _twice_fitted(reference, offsets, trend=True)
        # The forecast is for offset 0, so the mean there is the intercept alone.
        keep = (sloped.p_trend < 0.05) & (sloped.mean <= np.nanmax(reference, axis=1, initial=0.0))
        expected = np.where(keep, sloped.mean, expected)
        variance = np.where(keep, sloped.variance, variance)
        phi = np.where(keep, sloped.phi, phi)
    limit = two_thirds_limit(expected, variance, phi, -float(ndtri(alpha / 2)))
    return expected, np.where(np.isfinite(expected), limit, np.nan)


def two_thirds_limit(expected: Floats, variance: Floats, phi: Floats, z: float) -> Floats:
    """Upper limit by the 2/3 power, which makes counts nearly normal.

    Parameters
    ----------
    expected, variance
        Expected count and the variance of its estimate.
    phi
        Dispersion.
    z
        Normal quantile.
    """
    import numpy as np

    with np.errstate(divide="ignore", invalid="ignore"):
        deviation = np.sqrt(phi * expected + variance)
        limit = expected * (1 + 2 / 3 * z * deviation / expected) ** 1.5
    return np.where(expected > 0, limit, 0.0)


def _twice_fitted(reference: Floats, offsets: Floats, trend: bool) -> Fit:
    """Fit, give past outbreaks less weight, fit again."""
    import numpy as np

    present = np.isfinite(reference).astype(float)
    counts = np.nan_to_num(reference)
    first = fit_rows(counts, offsets, present, trend)
    with np.errstate(divide="ignore", invalid="ignore"):
        mu = np.maximum(first.fitted, 1e-300)
        residual = 1.5 * (counts ** (2 / 3) * mu ** (-1 / 6) - np.sqrt(mu))
        residual /= np.sqrt(first.phi[:, None] * np.maximum(1 - first.leverage, 1e-12))
        weights = np.where(residual > 1, residual**-2.0, 1.0) * present
    total = weights.sum(axis=1, keepdims=True)
    scaled = weights * present.sum(axis=1, keepdims=True) / np.where(total > 0, total, 1.0)
    return fit_rows(counts, offsets, scaled, trend)
