"""Vectors of the calculations on counts: intervals, summaries, stop lines."""

from typing import Any

import scipy
from nb_reference import clustered, summary
from scipy.stats import beta, chi2, norm
from writing import Vectors

SCIPY = f"scipy {scipy.__version__}"

#: Slugs under 40 tiles in each of two grasslands: Crawley, The R Book, data file slugsurvey.
NURSERY = [3, 0, 0, 0, 0, 1, 0, 3, 0, 0, 0, 0, 2, 5, 6, 0, 4, 7, 0, 1]
NURSERY += [0, 1, 0, 0, 0, 0, 10, 0, 0, 0, 0, 2, 0, 0, 1, 1, 0, 0, 0, 4]
ROOKERY = [2, 3, 0, 5, 9, 1, 3, 1, 2, 0, 5, 1, 2, 5, 1, 8, 1, 0, 3, 0]
ROOKERY += [2, 0, 0, 2, 2, 1, 5, 1, 0, 0, 0, 3, 4, 2, 3, 6, 2, 4, 1, 1]


def garwood(x: int, level: float = 0.95) -> tuple[float, float]:
    tail = (1 - level) / 2
    low = 0.0 if x == 0 else float(chi2.ppf(tail, 2 * x) / 2)
    return low, float(chi2.isf(tail, 2 * x + 2) / 2)


def poisson_interval() -> Vectors:
    v = Vectors(
        "poisson-interval",
        source="Garwood 1936, Biometrika 28:437",
        computed_with=f"{SCIPY} (stats.chi2); the limits for 0 to 20 agree with published Garwood tables",
        notes={
            "zero": "Nothing found is not nothing there: the upper limit is what a nil result allows.",
            "effort": "Limits are per unit of effort (trap, square metre).",
            "large": "Quantiles far out, where a weak algorithm loses digits.",
        },
    )
    for x in (0, 1, 2, 3, 4, 5, 10, 20, 107, 9999, 1_000_000):
        low, high = garwood(x)
        flags = ("zero",) if x == 0 else ("large",) if x > 1000 else ()
        v.answer(
            f"count_{x}", "Two-sided 95 %.", {"count": x}, {"rate": x, "low": low, "high": high}, flags=flags
        )
    low, high = garwood(7)
    v.answer(
        "seven_in_six_traps",
        "7 larvae in 6 bait traps.",
        {"count": 7, "effort": 6},
        {"rate": 7 / 6, "low": low / 6, "high": high / 6},
        flags=("effort",),
    )
    v.answer(
        "none_in_six_traps",
        "One-sided: -ln(0.05) = 2.9957 shared by 6 traps.",
        {"count": 0, "effort": 6, "sided": "upper"},
        {"rate": 0, "low": 0, "high": float(chi2.ppf(0.95, 2) / 2 / 6)},
        flags=("zero", "effort"),
    )
    v.answer(
        "four_upper",
        "One-sided 99 %.",
        {"count": 4, "sided": "upper", "level": 0.99},
        {"rate": 4, "low": 0, "high": float(chi2.ppf(0.99, 10) / 2)},
    )
    low, high = garwood(12, 0.8)
    v.answer(
        "eighty_percent", "80 % level.", {"count": 12, "level": 0.8}, {"rate": 12, "low": low, "high": high}
    )
    v.refused("negative", "Fewer than none.", {"count": -1}, "/count")
    v.refused("half_a_slug", "Not a whole number.", {"count": 2.5}, "/count")
    v.refused("count_missing", "No count.", {"effort": 2}, "/count")
    v.refused("no_effort", "Effort must be above 0.", {"count": 2, "effort": 0}, "/effort")
    v.refused("level_one", "A level of 1 has no limits.", {"count": 2, "level": 1}, "/level")
    v.refused("unknown_side", "Neither two nor upper.", {"count": 2, "sided": "lower"}, "/sided")
    v.refused("unknown_input", "A misspelt input is not passed over.", {"count": 2, "efort": 3}, "/efort")
    return v


def proportion() -> Vectors:
    v = Vectors(
        "proportion",
        source="Wilson 1927, J. Am. Stat. Assoc. 22:209; Clopper & Pearson 1934, Biometrika 26:404",
        computed_with=f"{SCIPY} (stats.norm, stats.beta)",
        notes={
            "zero": "None found: the one-sided upper limit 1 - (1 - level)^(1/n), near 3/n.",
            "all": "All found.",
        },
    )
    for found, examined, level in ((0, 10, 0.95), (0, 20, 0.95), (0, 30, 0.95), (3, 20, 0.95), (1, 7, 0.9),
                                   (20, 20, 0.95), (137, 450, 0.95), (5000, 10_000, 0.99)):  # fmt: skip
        p, z = found / examined, float(norm.isf((1 - level) / 2))
        tail = (1 - level) / 2
        centre = (p + z * z / (2 * examined)) / (1 + z * z / examined)
        half = z / (1 + z * z / examined) * (p * (1 - p) / examined + z * z / (4 * examined**2)) ** 0.5
        out: dict[str, Any] = {
            "proportion": p,
            "wilson_low": max(0.0, centre - half) if found else 0.0,
            "wilson_high": min(1.0, centre + half) if found < examined else 1.0,
            "exact_low": float(beta.ppf(tail, found, examined - found + 1)) if found else 0.0,
            "exact_high": float(beta.isf(tail, found + 1, examined - found)) if found < examined else 1.0,
        }
        if found == 0:
            out["upper_one_sided"] = float(beta.isf(1 - level, 1, examined))
        flags = ("zero",) if found == 0 else ("all",) if found == examined else ()
        v.answer(
            f"{found}_of_{examined}",
            f"Level {level}.",
            {"found": found, "examined": examined, "level": level},
            out,
            flags=flags,
        )
    v.refused("more_than_examined", "More found than examined.", {"found": 5, "examined": 4}, "/found")
    v.refused("none_examined", "Nothing examined.", {"found": 0, "examined": 0}, "/examined")
    v.refused("level_in_percent", "95 instead of 0.95.", {"found": 1, "examined": 4, "level": 95}, "/level")
    return v


def count_summary() -> Vectors:
    v = Vectors(
        "count-summary",
        source="Anscombe 1950, Biometrika 37:358; Garwood 1936, Biometrika 28:437",
        computed_with=f"{SCIPY}: stats.nbinom and poisson log likelihoods, special.digamma, optimize.brentq",
        notes={
            "clumped": "Negative binomial: k by maximum likelihood, intervals by profile likelihood.",
            "even": "Scatter no greater than chance: k has no value, the Poisson law is the likeliest.",
            "edge": "No law can be fitted, or it has no limit: null, and why_not says why.",
            "clusters": "Boards of one group go up and down together.",
            "k_open": "The counts put no upper limit on k.",
            "published": "k, log likelihood and moments also stand in Crawley's data as computed in R.",
        },
        tolerance={
            "rel": 1e-8,
            "abs": 1e-10,
            "reason": "root of a likelihood difference by two different searches",
        },
    )
    series: list[tuple[str, str, list[int], tuple[str, ...]]] = [
        ("nursery_tiles", "40 tiles, nursery.", NURSERY, ("clumped", "published")),
        ("rookery_tiles", "40 tiles, rookery.", ROOKERY, ("clumped", "published")),
        ("six_boards", "Few boards, clumped.", [0, 0, 1, 0, 7, 2], ("clumped",)),
        ("twelve_boards", "A wet morning.", [14, 2, 0, 31, 5, 9, 0, 3, 22, 1, 6, 4], ("clumped",)),
        (
            "hardly_clumped",
            "k beyond what 8 boards can limit.",
            [3, 5, 2, 7, 4, 1, 6, 9],
            ("clumped", "k_open"),
        ),
        ("even", "Evener than chance.", [3, 4, 3, 2, 4, 3, 3, 4], ("even", "k_open")),
        ("large_counts", "Thousands on a trap.", [2100, 40, 980, 5120, 333, 760, 1], ("clumped",)),
    ]
    for name, comment, counts, flags in series:
        v.answer(name, comment, {"counts": counts}, summary(counts, 0.95), flags=flags)
    v.answer(
        "nursery_80",
        "80 % level.",
        {"counts": NURSERY, "level": 0.8},
        summary(NURSERY, 0.8),
        flags=("clumped",),
    )
    _edges(v)
    v.refused("negative_count", "The fourth count is negative.", {"counts": [1, 2, 0, -3]}, "/counts/3")
    v.refused("text_count", "Text where a count belongs.", {"counts": [1, "two"]}, "/counts/1")
    v.refused("not_a_list", "One number in place of a list.", {"counts": 4}, "/counts")
    v.refused(
        "clusters_short", "One cluster for two counts.", {"counts": [1, 2], "clusters": ["a"]}, "/clusters"
    )
    return v


def _edges(v: Vectors) -> None:
    """Where a law cannot be fitted: what is undefined is null, and a sentence says why."""
    low, high = garwood(5)
    v.answer(
        "one_board",
        "One board tells nothing of the spread; the Poisson limits stand in.",
        {"counts": [5]},
        {
            "n": 1,
            "mean": 5,
            "variance": None,
            "variance_mean_ratio": None,
            "k": None,
            "k_low": None,
            "k_high": None,
            "k_moment": None,
            "mean_low": low,
            "mean_high": high,
            "dispersion_p": None,
            "dispersion_df": 0,
            "lloyd": None,
            "morisita": 1,
            "model": "poisson",
        },
        flags=("edge",),
        says={"why_not": ["one board"], "cautions": ["clump"]},
    )
    low, high = garwood(0)
    v.answer(
        "all_zero",
        "Nothing on eight boards.",
        {"counts": [0] * 8},
        {
            "total": 0,
            "mean": 0,
            "variance": 0,
            "variance_mean_ratio": None,
            "n_zero": 8,
            "k": None,
            "mean_low": 0,
            "mean_high": high / 8,
            "mean_low_wald": None,
            "mean_high_wald": None,
            "log_likelihood": 0,
            "log_likelihood_poisson": 0,
            "dispersion_chi2": None,
            "morisita": None,
            "model": "poisson",
        },
        flags=("edge",),
        says={"why_not": ["all counts are zero"], "cautions": ["clump"]},
    )
    v.answer(
        "one_find",
        "A single slug on six boards.",
        {"counts": [0, 0, 1, 0, 0, 0]},
        {"total": 1, "k": None, "morisita": None, "model": "poisson", "k_high": None},
        flags=("edge",),
        says={"why_not": ["morisita"]},
    )
    v.answer(
        "few_on_few_boards",
        "Six slugs on five boards: one caution, not one each way.",
        {"counts": [0, 0, 5, 0, 1]},
        {"total": 6, "mean": 1.2, "model": "negative-binomial"},
        flags=("edge",),
        says={"cautions": ["only 6 counted on 5 boards"]},
    )
    v.answer(
        "all_on_one_board",
        "All on one of ten boards: the mean has no upper limit below a thousand million.",
        {"counts": [0] * 9 + [30]},
        {"total": 30, "mean_high": None, "model": "negative-binomial"},
        flags=("edge",),
        says={"why_not": ["no upper limit"]},
    )
    beds = ["a"] * 4 + ["b"] * 4 + ["c"] * 4
    counts = [14, 2, 0, 31, 5, 9, 0, 3, 22, 1, 6, 4]
    v.answer(
        "three_beds",
        "Boards in three beds: Poisson regression with a sandwich variance by cluster, t with 2 df.",
        {"counts": counts, "clusters": beds},
        clustered(counts, beds, 0.95),
        flags=("clusters",),
        says={"cautions": ["too narrow", "3 clusters"]},
    )
    v.answer(
        "one_bed",
        "All boards in one bed.",
        {"counts": [1, 4, 2], "clusters": [7, 7, 7]},
        {"total": 7},
        flags=("clusters", "edge"),
        says={"why_not": ["two clusters"]},
    )


FILES = {"poisson-interval": poisson_interval, "proportion": proportion, "count-summary": count_summary}
