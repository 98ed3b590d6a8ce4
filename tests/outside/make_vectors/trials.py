"""Vectors of the calculations on trials: whether one can show anything, and what it showed."""

import math
from statistics import NormalDist
from typing import Any

import numpy as np
import scipy
import statsmodels
import statsmodels.api as sm
from scipy.stats import t as student
from writing import Vectors

STATSMODELS = f"statsmodels {statsmodels.__version__} (GLM, binomial) and scipy {scipy.__version__} (stats.t)"
NORMAL = NormalDist()


def _power(given: dict[str, Any], square: float) -> float:
    z = NORMAL.inv_cdf(1 - (1 - given.get("level", 0.95)) / 2)
    distance = -math.log(1 - given["percent_fewer"] / 100) / math.sqrt(square)
    return NORMAL.cdf(distance - z) + NORMAL.cdf(-distance - z)


def _squares(given: dict[str, Any], boards: int, rounds: int) -> tuple[float, float]:
    """Variance of the log ratio for fresh draws, and for boards that keep their character."""
    left = given["mean"] * (1 - given["percent_fewer"] / 100)
    chance, clumping = 1 / left + 1 / given["mean"], 2 / given["k"]
    return (chance + clumping) / (boards * rounds), (chance / rounds + clumping) / boards


def _first(given: dict[str, Any], which: int, *, boards: bool) -> int:
    """The first number for which the near tail alone has the wanted power, by trying."""
    z = NORMAL.inv_cdf(1 - (1 - given.get("level", 0.95)) / 2)
    effect = -math.log(1 - given["percent_fewer"] / 100)
    for n in range(1, 100_000):
        pair = (n, given["n_rounds"]) if boards else (given["n_boards"], n)
        square = _squares(given, *pair)[which]
        if NORMAL.cdf(effect / math.sqrt(square) - z) >= given.get("power", 0.8):
            return n
    raise ValueError(given)


def trial_power() -> Vectors:
    v = Vectors(
        "trial-power",
        source="Zhu & Lakkis 2014, Stat. Med. 33:376 (from memory); boards that keep: our own",
        computed_with="Python statistics.NormalDist; numbers needed by trying one after the other",
        notes={
            "few": "Few boards: the formula is too hopeful, and says so.",
            "keep": "Boards that stay good or bad: more rounds cannot make up for few boards.",
        },
        tolerance={"rel": 1e-9, "abs": 1e-11},
    )
    usual: dict[str, Any] = {"mean": 3, "k": 0.8, "n_boards": 6, "n_rounds": 4, "percent_fewer": 50}
    cases: list[tuple[str, str, dict[str, Any], tuple[str, ...]]] = [
        ("six_boards", "Six a side, four rounds, half as many.", usual, ("keep",)),
        ("twelve_boards", "Twice the boards.", {**usual, "n_boards": 12}, ("keep",)),
        ("one_round", "A single round.", {**usual, "n_rounds": 1, "k": 2}, ()),
        ("two_boards", "Two a side.", {**usual, "n_boards": 2, "n_rounds": 12}, ("few", "keep")),
        ("strict", "Level 0.99, power 0.9.", {**usual, "level": 0.99, "power": 0.9}, ("keep",)),
        ("many_slugs", "Mean 40, hardly clumped.", {**usual, "mean": 40, "k": 8, "percent_fewer": 20}, ()),
        ("nearly_all", "90 % fewer.", {**usual, "percent_fewer": 90}, ("keep",)),
    ]
    for name, comment, given, flags in cases:
        fresh, keep = _squares(given, given["n_boards"], given["n_rounds"])
        out = {
            "power": _power(given, fresh),
            "power_boards_keep": _power(given, keep),
            "n_boards_needed": _first(given, 0, boards=True),
            "n_rounds_needed": _first(given, 0, boards=False),
            "n_boards_needed_boards_keep": _first(given, 1, boards=True),
        }
        says = {"cautions": ["too hopeful"]} if "few" in flags else {"why_not": []}
        v.answer(name, comment, given, out, flags=flags, says=says)
    v.refused("no_effect", "Nothing to find.", {**usual, "percent_fewer": 0}, "/percent_fewer")
    v.refused("no_boards", "No boards.", {**usual, "n_boards": 0}, "/n_boards")
    v.refused("no_k", "Clumping of 0.", {**usual, "k": 0}, "/k")
    return v


def _effect(given: dict[str, Any]) -> dict[str, Any]:
    """The same regression by a general tool: each unit's counts after and before, blocks as factors."""
    before = np.array([*given["treated_before"], *given["control_before"]], float)
    after = np.array([*given["treated_after"], *given["control_after"]], float)
    n, m = len(given["treated_before"]), len(given["control_before"])
    effort = [*given.get("treated_effort", [1] * n), *given.get("control_effort", [1] * m)]
    blocks = [*given.get("treated_blocks", ["a"] * n), *given.get("control_blocks", ["a"] * m)]
    keep = before + after > 0
    names = sorted({str(block) for block, use in zip(blocks, keep, strict=True) if use})
    columns = [np.array([1.0] * n + [0.0] * m)]
    columns += [np.array([float(str(block) == name) for block in blocks]) for name in names]
    design = np.column_stack(columns)[keep]
    family = sm.families.Binomial()
    counts = np.column_stack([after, before])[keep]
    fit = sm.GLM(counts, design, family=family, offset=np.log(effort)[keep]).fit(tol=1e-15, maxiter=200)
    df = int(keep.sum()) - len(names) - 1
    spread = max(float(fit.pearson_chi2) / df, 1.0) if df > 0 else None
    se = float(fit.bse[0]) * math.sqrt(spread or 1.0)
    tail = (1 - given.get("level", 0.95)) / 2
    reach = float(student.isf(tail, df)) if df > 0 else NORMAL.inv_cdf(1 - tail)
    log = float(fit.params[0])
    low, high = math.exp(log - reach * se), math.exp(log + reach * se)
    out = {
        **{"percent": 100 * (1 - math.exp(log)), "low": 100 * (1 - high), "high": 100 * (1 - low)},
        **{"ratio": math.exp(log), "ratio_low": low, "ratio_high": high, "log_ratio": log},
        **{"se_log_ratio": se, "dispersion": spread, "df": df, "n_blocks": len(names)},
        **{"n_treated": int(keep[:n].sum()), "n_control": int(keep[n:].sum())},
    }
    return out | {"p": 2 * float(student.sf(abs(log) / se, df)) if df > 0 else None}


def trial_effect() -> Vectors:
    v = Vectors(
        "trial-effect",
        source="McCullagh & Nelder 1989, Generalized Linear Models, 4.5; Henderson & Tilton 1955, ibid. 48:157",
        computed_with=STATSMODELS,
        notes={
            "henderson_tilton": "With equal effort the ratio is Ta Cb / (Tb Ca).",
            "clumped": "Units differ more than chance: the interval is wider by the root of the dispersion.",
            "blocks": "What the season did to a block cancels inside it.",
            "one_pair": "One unit a side: no scatter to see.",
            "zero": "Nothing left where treated: the ratio is 0, an upper limit remains.",
            "empty": "A ratio that cannot be formed is empty and says why.",
        },
        tolerance={"rel": 1e-8, "abs": 1e-9, "reason": "statsmodels stops its own search at about 1e-9"},
    )
    plain: dict[str, Any] = {
        **{"treated_before": [8, 5, 7, 4, 9, 6], "treated_after": [3, 2, 4, 0, 5, 3]},
        **{"control_before": [6, 7, 5, 8, 3, 7], "control_after": [9, 8, 7, 9, 5, 6]},
    }
    pairs = {"treated_blocks": list("aabbcc"), "control_blocks": list("aabbcc")}
    wild = {
        **{"treated_before": [20, 3, 14, 9, 2, 31, 7, 12], "treated_after": [2, 6, 1, 9, 0, 16, 0, 13]},
        **{"control_before": [11, 25, 4, 8, 17, 6], "control_after": [30, 12, 9, 3, 28, 2]},
    }
    efforts = {"treated_effort": [1, 1.5, 1, 2, 0.8, 1], "control_effort": [1, 1, 0.5, 1, 1.2, 1]}
    cases: list[tuple[str, str, dict[str, Any], tuple[str, ...]]] = [
        ("even", "Six boards a side.", plain, ("henderson_tilton",)),
        ("clumped", "Counts that jump.", wild, ("clumped", "henderson_tilton")),
        ("pairs", "In three blocks.", {**plain, **pairs}, ("blocks",)),
        ("efforts", "Not counted equally often.", {**plain, **efforts}, ()),
        ("efforts_in_pairs", "Both.", {**plain, **efforts, **pairs, "level": 0.8}, ("blocks",)),
        (
            "one_pair",
            "One bed a side: 20 to 8 against 18 to 24, as in the example of efficacy.",
            {"treated_before": [20], "treated_after": [8], "control_before": [18], "control_after": [24]},
            ("one_pair", "henderson_tilton"),
        ),
    ]
    for name, comment, given, flags in cases:
        says = {"cautions": ["one comparison"]} if "one_pair" in flags else {"why_not": []}
        v.answer(name, comment, given, _effect(given), flags=flags, says=says)
    gone = {**plain, "treated_after": [0] * 6}
    ta, tb, ca, cb = 0.5, 39.5, 44.5, 36.5
    reach = float(student.isf(0.025, 10)) * math.sqrt(1 / ta + 1 / tb + 1 / ca + 1 / cb)
    v.answer(
        "none_left", "Nothing left where treated: limits by adding a half (Haldane 1956, Anscombe 1956).", gone,
        {"percent": 100, "high": 100, "ratio": 0, "ratio_low": 0, "log_ratio": None,
         "ratio_high": math.exp(math.log(ta * cb / (tb * ca)) + reach), "df": 10},
        flags=("zero",), says={"cautions": ["a half"], "why_not": ["ratio is 0"]},
    )  # fmt: skip
    v.answer(
        "no_control_left", "Nothing left in the control.", {**plain, "control_after": [0] * 6},
        {"percent": None, "ratio": None, "low": None, "high": None, "p": None},
        flags=("empty",), says={"why_not": ["nothing was left in the control"]},
    )  # fmt: skip
    apart = {"treated_blocks": ["a"] * 6, "control_blocks": ["b"] * 6}
    v.answer(
        "blocks_apart", "Each block has one kind only.", {**plain, **apart},
        {"percent": None, "n_blocks": 0, "df": 0}, flags=("empty", "blocks"), says={"why_not": ["no block has"]},
    )  # fmt: skip
    v.refused("short_list", "One count too few.", {**plain, "treated_after": [1, 2]}, "/treated_after")
    v.refused(
        "half_blocks", "Blocks of one side.", {**plain, "treated_blocks": list("aabbcc")}, "/control_blocks"
    )
    v.refused(
        "no_units", "No boards.", {**plain, "treated_before": [], "treated_after": []}, "/treated_before"
    )
    return v


FILES = {"trial-power": trial_power, "trial-effect": trial_effect}
