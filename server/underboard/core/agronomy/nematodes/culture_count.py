"""How strong is this culture?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.agronomy.contract import LEVEL, Calculation, Param
from underboard.core.agronomy.counts.poisson_interval import garwood


@dataclass(frozen=True)
class CultureCount:
    """Nematodes per ml.

    Attributes
    ----------
    per_ml, low, high
        Estimate and exact Poisson interval [1/ml].
    total, counted_ml
        Nematodes counted, in how much of the diluted culture [ml].
    dispersion_p
        Chance of aliquots as unequal as these if the culture was well stirred.
    """

    per_ml: float | None
    low: float | None
    high: float | None
    total: int
    counted_ml: float
    dispersion_p: float | None
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]


def culture_count(
    aliquots: Sequence[int], aliquot_ml: float, dilution: float = 1.0, level: float = 0.95
) -> CultureCount:
    """Estimate the strength of a culture from counted drops.

    Parameters
    ----------
    aliquots
        Nematodes counted in each drop.
    aliquot_ml
        Volume of a drop [ml].
    dilution
        How many times the culture was diluted before counting [from 1].
    level
        Level of the interval.

    Returns
    -------
    CultureCount

    Notes
    -----
    ``per_ml = total dilution / (n aliquot)``; Garwood's exact interval of the total, scaled alike. The
    dispersion test is ``sum (x - mean)^2/mean`` against chi-square with n - 1 degrees of freedom.

    References
    ----------
    Garwood, F. (1936), Fiducial limits for the Poisson distribution, Biometrika 28, 437-442.

    Examples
    --------
    >>> culture_count([12, 15, 9, 14, 10], 0.05).per_ml
    240.0
    """
    from scipy.special import chdtrc

    n, total = len(aliquots), sum(aliquots)
    counted_ml = n * aliquot_ml
    warned = [
        "A count does not say what the worms are: most in a rotting brew feed on bacteria (from memory)."
    ]
    if not n:
        why = ("No drop was counted.",)
        return CultureCount(None, None, None, 0, 0.0, None, why, tuple(warned))
    low, high = garwood(total, level)
    dispersion_p: float | None = None
    why_not: tuple[str, ...] = ()
    if n >= 2 and total:
        mean = total / n
        dispersion_p = float(chdtrc(n - 1, sum((count - mean) ** 2 for count in aliquots) / mean))
    else:
        why_not = ("Whether the drops agree cannot be tested: that needs two drops and one nematode.",)
    if n < 3:
        warned.append("Count at least three drops.")
    if total < 30:
        warned.append(f"Only {total} counted: the interval is wide; count more drops.")
    if dispersion_p is not None and dispersion_p < 0.05:
        warned.append(
            "The drops differ more than chance allows: stir and count again; the interval is too narrow."
        )
    scale = dilution / counted_ml
    return CultureCount(
        per_ml=total * dilution / counted_ml,
        low=low * scale,
        high=high * scale,
        total=total,
        counted_ml=counted_ml,
        dispersion_p=dispersion_p,
        why_not=why_not,
        cautions=tuple(warned),
    )


CALCULATION = Calculation(
    name="culture-count",
    question="How strong is this culture?",
    source="Garwood 1936, Biometrika 28:437",
    method="total over volume with the exact Poisson interval",
    params=(
        Param("aliquots", "counts", max_len=100_000, doc="Nematodes counted in each drop."),
        Param("aliquot_ml", "number", unit="ml", low=1e-6, high=1e6, doc="Volume of a drop."),
        Param(
            "dilution",
            "number",
            required=False,
            default=1.0,
            low=1,
            high=1e9,
            doc="How many times it was diluted before counting.",
        ),
        LEVEL,
    ),
    run=culture_count,
    example={"aliquots": [12, 15, 9, 14, 10], "aliquot_ml": 0.05},
    returns={
        "per_ml, low, high": "strength of the undiluted culture and its interval [1/ml]",
        "total, counted_ml": "nematodes counted, in how many ml",
        "dispersion_p": "chance of drops as unequal as these in a well stirred culture",
    },
    rules=(
        "No drop: null. All drops empty: 0 with an upper limit.",
        "Drops that differ more than chance allows bring a caution.",
    ),
    needs_scipy=True,
)
