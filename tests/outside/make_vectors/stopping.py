"""Vectors of sequential stop lines."""

from decimal import Decimal, getcontext
from typing import Any

from writing import Vectors

getcontext().prec = 40


def _green(a: float, b: float, d: float, n: int) -> float:
    """ln T = ln(d²/a)/(b - 2) + ((b - 1)/(b - 2)) ln n, the other printed form, to 40 digits."""
    a_, b_, d_ = (Decimal(str(x)) for x in (a, b, d))
    log = (d_ * d_ / a_).ln() / (b_ - 2) + (b_ - 1) / (b_ - 2) * Decimal(n).ln()
    return float(log.exp())


def _kuno(alpha: float, beta: float, d: float, n: int) -> float | None:
    al, be, d_ = (Decimal(str(x)) for x in (alpha, beta, d))
    room = d_ * d_ - (be - 1) / n
    return float((al + 1) / room) if room > 0 else None


def _wald(m0: float, m1: float, k: float, low: float, high: float) -> tuple[float, float, float]:
    """Slope, and the height of the upper and lower line, from p = m/(m + k) and q = 1 - p."""
    a0, a1, k_, el, eh = (Decimal(str(x)) for x in (m0, m1, k, low, high))
    p0, p1 = a0 / (a0 + k_), a1 / (a1 + k_)
    ratio = (p1 / p0).ln()
    slope = k_ * ((1 - p0) / (1 - p1)).ln() / ratio
    return float(slope), float(((1 - eh) / el).ln() / ratio), float(((1 - el) / eh).ln() / ratio)


def stop_line() -> Vectors:
    v = Vectors(
        "stop-line",
        source="Green 1970 and Kuno 1969, Researches on Population Ecology 12:249, 11:127; Oakland 1950, "
        "Biometrics 6:59",
        computed_with="Python decimal, 40 digits, the logarithmic form of each line",
        notes={
            "green": "Fixed precision from Taylor's power law.",
            "kuno": "Fixed precision from Iwao's regression.",
            "wald": "Two lines: below the lower one few, above the upper one many.",
            "never": "At so few boards no total is enough: null, and why_not says so.",
        },
    )
    green: dict[str, Any] = {"method": "green", "a": 2, "b": 1.5, "d": 0.25}
    n = [5, 10, 20, 32, 40]
    v.answer(
        "green_line",
        "a 2, b 1.5, d 0.25: 204.8, 102.4, 51.2, 32, 25.6.",
        {**green, "n": n},
        {"lines": [{"n": i, "stop_total": _green(2, 1.5, 0.25, i)} for i in n]},
        flags=("green",),
        says={"why_not": []},
    )
    for total, verdict in ((51, "go_on"), (52, "stop")):
        v.answer(
            f"green_{total}",
            "The line stands at 51.2 after 20 boards.",
            {**green, "n": [20], "total": total},
            {"verdict": verdict},
            flags=("green",),
        )
    v.answer(
        "green_slugs",
        "Exponent near one, as on few boards.",
        {"method": "green", "a": 3.1, "b": 1.1, "d": 0.3, "n": [6, 12, 26]},
        {"lines": [{"n": i, "stop_total": _green(3.1, 1.1, 0.3, i)} for i in (6, 12, 26)]},
        flags=("green",),
    )
    v.answer(
        "green_steep",
        "Taylor's b above 2: variance outgrows the square of the mean, and no total is enough.",
        {**green, "b": 2.4, "n": [20], "total": 900},
        {"lines": [{"n": 20, "stop_total": None}], "verdict": "go_on"},
        flags=("green", "never"),
        says={"why_not": ["no total"]},
    )
    kuno: dict[str, Any] = {"method": "kuno", "alpha": 0.5, "beta": 1.4, "d": 0.25}
    v.answer(
        "kuno_line",
        "alpha 0.5, beta 1.4, d 0.25: 35.29 after 20; after 6 no total is enough.",
        {**kuno, "n": [6, 7, 20]},
        {"lines": [{"n": i, "stop_total": _kuno(0.5, 1.4, 0.25, i)} for i in (6, 7, 20)]},
        flags=("kuno", "never"),
        says={"why_not": ["no total"]},
    )
    wald: dict[str, Any] = {
        "method": "wald",
        "mean0": 1,
        "mean1": 4,
        "k": 1,
        "error_low": 0.1,
        "error_high": 0.1,
    }
    slope, up, down = _wald(1, 4, 1, 0.1, 0.1)
    v.answer(
        "wald_lines",
        "Means 1 and 4, k 1, errors 0.1: slope 1.9495, height 4.6749.",
        {**wald, "n": [4, 9]},
        {
            "slope": slope,
            "intercept": up,
            "intercept_lower": -down,
            "lines": [{"n": i, "lower": slope * i - down, "upper": slope * i + up} for i in (4, 9)],
        },
        flags=("wald",),
    )
    for total, verdict in ((12, "low"), (13, "go_on"), (22, "go_on"), (23, "high")):
        v.answer(
            f"wald_{total}",
            "Lines at 12.87 and 22.22 after 9 boards.",
            {**wald, "n": [9], "total": total},
            {"verdict": verdict},
            flags=("wald",),
        )
    v.refused("a_missing", "Green without a.", {"method": "green", "b": 1.5, "d": 0.25, "n": [5]}, "/a")
    v.refused(
        "errors",
        "Errors of a half each.",
        {**wald, "error_low": 0.5, "error_high": 0.5, "n": [9]},
        "/error_high",
    )
    v.refused("no_boards", "No number of boards.", {**green, "n": [5, 0]}, "/n/1")
    v.refused("means_swapped", "The upper mean is below.", {**wald, "mean1": 0.5, "n": [9]}, "/mean1")
    v.refused("precision_zero", "d must be above 0.", {**green, "d": 0, "n": [5]}, "/d")
    v.refused("unknown_plan", "No such plan.", {"method": "guess", "n": [5]}, "/method")
    return v


FILES = {"stop-line": stop_line}
