"""May I stop turning boards, and what is the verdict?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from underboard.core.agronomy.answer import optional
from underboard.core.agronomy.contract import Calculation, Param
from underboard.core.errors import InputFault

NEEDS = {
    "green": ("a", "b", "d"),
    "kuno": ("alpha", "beta", "d"),
    "wald": ("mean0", "mean1", "k", "error_low", "error_high"),
}


@dataclass(frozen=True)
class PrecisionLine:
    """Stop when `stop_total` have been counted on `n` boards; None when no total is enough."""

    n: int
    stop_total: float | None


@dataclass(frozen=True)
class WaldLine:
    """After `n` boards: a total below `lower` says few, above `upper` many."""

    n: int
    lower: float
    upper: float


@dataclass(frozen=True)
class StopLines:
    """Stop lines, and the verdict on a running total.

    Attributes
    ----------
    lines
        One entry for each n asked for.
    slope, intercept, intercept_lower
        Wald only: ``upper = slope n + intercept``, ``lower = slope n + intercept_lower``.
    verdict
        When a total is given, after the last n: ``stop`` or ``go_on``; Wald: ``low``, ``high``, ``go_on``.
    """

    lines: tuple[PrecisionLine, ...] | tuple[WaldLine, ...]
    why_not: tuple[str, ...]
    cautions: tuple[str, ...]
    method: str
    slope: float | None = optional()
    intercept: float | None = optional()
    intercept_lower: float | None = optional()
    verdict: str | None = optional()


def stop_line(
    method: str,
    n: Sequence[int],
    total: int | None = None,
    a: float | None = None,
    b: float | None = None,
    alpha: float | None = None,
    beta: float | None = None,
    d: float | None = None,
    mean0: float | None = None,
    mean1: float | None = None,
    k: float | None = None,
    error_low: float | None = None,
    error_high: float | None = None,
) -> StopLines:
    """Draw a sequential stop line and judge a running total.

    Parameters
    ----------
    method
        ``green`` (Taylor's `a`, `b` and the wanted precision `d`), ``kuno`` (Iwao's `alpha`, `beta`
        and `d`) or ``wald`` (two means, clumping `k` and two errors).
    n
        Numbers of boards at which the line is wanted [each from 1].
    total
        What was counted on the last of these numbers of boards.
    a, b, alpha, beta, d
        As in ``sample-size``; d is standard error / mean.
    mean0, mean1
        The mean that is low enough and the one that is too high, per board [0 < mean0 < mean1].
    k
        Clumping.
    error_low
        Accepted chance of saying "high" when the mean is `mean0`.
    error_high
        Accepted chance of saying "low" when the mean is `mean1`.

    Returns
    -------
    StopLines

    Raises
    ------
    InputFault
        When a constant is missing, the means are in the wrong order or the errors add up to 1 or more.

    Notes
    -----
    Green: ``T = (a n^(1-b) / d²)^(1/(2-b))``. Kuno: ``T = (alpha + 1) / (d² - (beta - 1)/n)``. Wald's
    sequential probability ratio test: with ``p = m/(m + k)`` and ``u = ln(p1/p0)``, slope
    ``k ln((m1 + k)/(m0 + k)) / u``, intercepts ``ln((1 - error_high)/error_low) / u`` (upper) and
    ``ln(error_high/(1 - error_low)) / u`` (lower).

    References
    ----------
    Green, R. H. (1970), Res. Popul. Ecol. 12, 249-251. Kuno, E. (1969), Res. Popul. Ecol. 11, 127-136.
    Oakland, G. B. (1950), Biometrics 6, 59-67; Wald, A. (1947), Sequential Analysis. (Formulas from memory.)

    Examples
    --------
    >>> answer = stop_line("green", n=[20], total=52, a=2, b=1.5, d=0.25)
    >>> round(answer.lines[0].stop_total, 1), answer.verdict
    (51.2, 'stop')
    """
    given = {
        "a": a, "b": b, "alpha": alpha, "beta": beta, "d": d, "mean0": mean0, "mean1": mean1,
        "k": k, "error_low": error_low, "error_high": error_high,
    }  # fmt: skip
    need: dict[str, float] = {}
    for name in NEEDS[method]:
        value = given[name]
        if value is None:
            raise InputFault(f"/{name}", f'Method "{method}" needs "{name}".')
        need[name] = value
    if method == "wald":
        return _wald(n, total, need)
    return _fixed(method, n, total, need)


def _fixed(method: str, n: Sequence[int], total: int | None, need: dict[str, float]) -> StopLines:
    find = _green if method == "green" else _kuno
    lines = tuple(PrecisionLine(boards, find(boards, need)) for boards in n)
    never = [str(line.n) for line in lines if line.stop_total is None]
    why_not: tuple[str, ...] = ()
    if never:
        shown = ", ".join(never[:5]) + (" …" if len(never) > 5 else "")
        why_not = (f"At {shown} boards no total is enough for this precision.",)
    verdict = None
    if total is not None:
        stop = lines[-1].stop_total
        verdict = "stop" if stop is not None and total >= stop else "go_on"
    name = "Green's" if method == "green" else "Kuno's"
    return StopLines(lines, why_not, (), f"{name} stop line of fixed precision", verdict=verdict)


def _green(n: int, need: dict[str, float]) -> float | None:
    a, b, d = need["a"], need["b"], need["d"]
    # From b = 2 on, variance outgrows the square of the mean: a larger total makes it no more precise.
    if b >= 2:
        return None
    log_total = (math.log(a) + (1 - b) * math.log(n) - 2 * math.log(d)) / (2 - b)
    return math.exp(log_total) if log_total < 700 else None


def _kuno(n: int, need: dict[str, float]) -> float | None:
    rest = need["d"] ** 2 - (need["beta"] - 1) / n
    found = (need["alpha"] + 1) / rest if rest > 0 else -1.0
    return found if 0 < found < 1e300 else None


def _wald(n: Sequence[int], total: int | None, need: dict[str, float]) -> StopLines:
    mean0, mean1, k = need["mean0"], need["mean1"], need["k"]
    if mean1 <= mean0:
        raise InputFault("/mean1", f"The upper mean must be above the lower one; {mean1:g} is not.")
    if need["error_low"] + need["error_high"] >= 1:
        raise InputFault("/error_high", "The two errors must add up to less than 1; 0.1 each is usual.")
    # Written as differences so that means close together, or a huge k, lose no digits.
    log_means = math.log1p((mean1 - mean0) / mean0)
    log_shift = math.log1p((mean1 - mean0) / (mean0 + k))
    unit = log_means - log_shift
    if unit <= 0 or not math.isfinite(1 / unit):
        raise InputFault("/mean1", "The two means are too close together to be told apart.")
    slope = k * log_shift / unit
    upper = math.log((1 - need["error_high"]) / need["error_low"]) / unit
    lower = math.log(need["error_high"] / (1 - need["error_low"])) / unit
    lines = tuple(WaldLine(b, lower=slope * b + lower, upper=slope * b + upper) for b in n)
    verdict = None
    if total is not None:
        last = lines[-1]
        verdict = "high" if total > last.upper else "low" if total < last.lower else "go_on"
    caution = "Set a largest number of boards beforehand: between the two means the test can go on for long."
    return StopLines(
        lines, (), (caution,), "Wald's sequential test, negative binomial", slope, upper, lower, verdict
    )


def _positive(key: str, doc: str, high: float = 1e9) -> Param:
    return Param(key, "number", required=False, default=None, low=1e-9, high=high, doc=doc)


def _error(key: str, doc: str) -> Param:
    return Param(key, "number", required=False, default=None, low=1e-12, high=1, high_open=True, doc=doc)


CALCULATION = Calculation(
    name="stop-line",
    question="May I stop turning boards, and what is the verdict?",
    source="Green 1970 and Kuno 1969, Res. Popul. Ecol. 12:249 and 11:127; Oakland 1950, Biometrics 6:59",
    method="sequential stop line",
    params=(
        Param("method", "choice", choices=tuple(NEEDS), doc="Which line."),
        Param("n", "integers", low=1, high=1e9, min_len=1, max_len=10_000, doc="Numbers of boards."),
        Param("total", "count", required=False, default=None, doc="Counted on the last number of boards."),
        _positive("a", "Taylor's a (green)."),
        Param("b", "number", required=False, default=None, low=-10, high=10, doc="Taylor's b (green)."),
        Param("alpha", "number", required=False, default=None, low=-1e6, high=1e6, doc="Iwao's alpha."),
        Param("beta", "number", required=False, default=None, low=-1e6, high=1e6, doc="Iwao's beta (kuno)."),
        _positive("d", "Wanted precision: standard error / mean (green, kuno).", 1e6),
        _positive("mean0", "Mean a board that is low enough (wald)."),
        _positive("mean1", "Mean a board that is too high (wald)."),
        _positive("k", "Clumping; small is clumped (wald)."),
        _error("error_low", 'Accepted chance of saying "high" at mean0 (wald).'),
        _error("error_high", 'Accepted chance of saying "low" at mean1 (wald).'),
    ),
    run=stop_line,
    example={"method": "green", "a": 2, "b": 1.5, "d": 0.25, "n": [5, 10, 20], "total": 52},
    returns={
        "lines": "one for each n: stop_total, or lower and upper for wald",
        "slope": "wald only",
        "intercept": "wald only: of the upper line",
        "intercept_lower": "wald only: of the lower line",
        "verdict": "only with a total, after the last n: stop or go_on; wald: low, high or go_on",
    },
    rules=(
        "A total on the fixed-precision line is enough: stop when it is reached.",
        "With Wald the verdict needs a total strictly below the lower or above the upper line.",
        "Where no total is enough stop_total is null and why_not says at which n.",
        "With Taylor's b of 2 or more a larger total makes the mean no more precise: no total is enough.",
    ),
)
