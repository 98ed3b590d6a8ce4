"""How many boards or traps for a mean of a wanted sureness?"""

from __future__ import annotations

import math
from dataclasses import dataclass

from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault

# What each method needs besides the mean and d.
NEEDS = {
    "poisson": (),
    "negative_binomial": ("k",),
    "taylor": ("a", "b"),
    "iwao": ("alpha", "beta"),
}


@dataclass(frozen=True)
class SampleSize:
    """A number of boards.

    Attributes
    ----------
    n_exact
        From the formula; None when no number is enough or needed.
    n
        Rounded up to whole boards.
    variance_per_board
        The variance between boards that the method expects.
    """

    n_exact: float | None
    n: int | None
    variance_per_board: float
    why_not: tuple[str, ...]
    method: str


def sample_size(
    method: str,
    mean: float,
    d: float,
    z: float = 1.0,
    k: float | None = None,
    a: float | None = None,
    b: float | None = None,
    alpha: float | None = None,
    beta: float | None = None,
) -> SampleSize:
    """Give the number of boards for a wanted precision.

    Parameters
    ----------
    method
        How the variance follows from the mean: ``poisson``, ``negative_binomial`` (needs `k`), ``taylor``
        (needs `a`, `b`), ``iwao`` (needs `alpha`, `beta`).
    mean
        Expected count a board [above 0].
    d
        Wanted precision: standard error / mean (0.25 is usual for pest counts).
    z
        1 for d as a standard error; 1.96 for d as the half-width of a 95 % interval.
    k, a, b, alpha, beta
        Clumping; Taylor's power law ``variance = a mean^b``; Iwao's ``mean crowding = alpha + beta mean``.

    Returns
    -------
    SampleSize

    Raises
    ------
    InputFault
        When a constant that the method needs is missing.

    Notes
    -----
    ``n = z² variance / (mean d)²`` with the variance the method expects.

    References
    ----------
    Karandinos, M. G. (1976), Optimum sample size and comments on some published formulae, Bull. Ent. Soc. Am.
    22, 417-421. Southwood, T. R. E., Ecological Methods. Taylor, L. R. (1961), Nature 189, 732-735. Iwao, S.
    (1968), Res. Popul. Ecol. 10, 1-20. (Formulas from memory.)

    Examples
    --------
    >>> sample_size("negative_binomial", mean=4, d=0.25, k=1).n
    20
    """
    given = {"k": k, "a": a, "b": b, "alpha": alpha, "beta": beta}
    need = {name: given[name] for name in NEEDS[method]}
    for name, value in need.items():
        if value is None:
            raise InputFault(f"/{name}", f'Method "{method}" needs "{name}".')
    variance = _variance(method, mean, {name: value or 0.0 for name, value in need.items()})
    said = "n = z² variance / (mean d)², variance by " + method.replace("_", " ")
    if variance <= 0:
        why = ("These constants give no spread between boards at this mean, so the formula has no answer.",)
        return SampleSize(None, None, variance, why, said)
    exact = z * z * variance / (mean * mean) / (d * d)
    if not math.isfinite(exact) or exact > 1e12:
        why = ("No number of boards that could be laid would be enough.",)
        return SampleSize(None, None, variance, why, said)
    # A whole number that arithmetic left a hair too high must not cost a board more.
    return SampleSize(exact, max(math.ceil(exact * (1 - 1e-12)), 1), variance, (), said)


def _variance(method: str, mean: float, given: dict[str, float]) -> float:
    if method == "poisson":
        return mean
    if method == "negative_binomial":
        return mean + mean * mean / given["k"]
    if method == "taylor":
        return float(given["a"] * mean ** given["b"])
    return (given["alpha"] + 1) * mean + (given["beta"] - 1) * mean * mean


CALCULATION = Calculation(
    name="sample-size",
    question="How many boards or traps for a mean of a wanted sureness?",
    source="Karandinos 1976, Bull. Ent. Soc. Am. 22:417; Southwood, Ecological Methods (from memory)",
    method="n = z² variance / (mean d)²",
    params=(
        Param("method", "choice", choices=tuple(NEEDS), doc="How the variance follows from the mean."),
        Param("mean", "number", low=1e-9, high=1e9, doc="Expected count a board."),
        Param("d", "number", low=1e-6, high=1e6, doc="Wanted precision: standard error / mean."),
        Param(
            "z",
            "number",
            required=False,
            default=1.0,
            low=1e-6,
            high=100,
            doc="1 for d as a standard error, 1.96 for d as the half-width of a 95 % interval.",
        ),
        Param(
            "k",
            "number",
            required=False,
            default=None,
            low=1e-9,
            doc="Clumping, for the negative binomial; small is clumped.",
        ),
        Param("a", "number", required=False, default=None, low=1e-9, high=1e9, doc="Taylor's a."),
        Param("b", "number", required=False, default=None, low=-10, high=10, doc="Taylor's b."),
        Param("alpha", "number", required=False, default=None, low=-1e6, high=1e6, doc="Iwao's alpha."),
        Param("beta", "number", required=False, default=None, low=-1e6, high=1e6, doc="Iwao's beta."),
    ),
    run=sample_size,
    example={"method": "negative_binomial", "mean": 4, "d": 0.25, "k": 1},
    returns={
        "n_exact": "boards by the formula",
        "n": "whole boards, rounded up",
        "variance_per_board": "the variance between boards the method expects",
    },
    rules=(
        "The answer is only as good as k or the constants: take them from your own counts.",
        "With fewer than about 12 boards the formula is a guide, not a promise.",
    ),
)
